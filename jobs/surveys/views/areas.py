"""Pages of areas and of the shapes they were taped by.

The area's page works by itself; with a script the part `#work` of it is swapped, so that plan and
figures follow each shape.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.forms import BaseForm
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404

from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceFormView
from jobs.surveys import services
from jobs.surveys.enums import ShapeKind
from jobs.surveys.forms import AreaEditForm, AreaForm, ShapeEditForm, ShapeForm
from jobs.surveys.models import Area, Shape, Survey
from jobs.surveys.queries import line_of, names_in, plan_of, sheet_of
from jobs.surveys.rules.taping import TAPED, written
from jobs.surveys.views.visits import SEE, WRITE, OneOpenSurvey

WORK = "jobs/surveys/area.html#work"


class OneArea:
    """Finds the area of the address."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "area"

    def find(self) -> Area:
        rows = Area.objects.measured().select_related(
            "survey__job__customer", "survey__job__site", "pour__colour_group"
        )
        found: Area = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        found: Area = self.found  # type: ignore[attr-defined]
        return found.get_absolute_url()


class OneOpenArea(OneArea):
    """Finds the area of the address in a survey that is not finished."""

    def find(self) -> Area:
        area = super().find()
        if area.survey.finished_at is not None:
            raise Http404
        return area


def area_context(area: Area) -> dict[str, Any]:
    """Return what the area's page shows beside the form: shapes, size, plan."""
    sheet = sheet_of(area)
    return {
        "title": area.name,
        "sheet": sheet,
        "plan": plan_of([sheet], f"Plan of {area.name}"),
        "kinds": ShapeKind.choices,
        "survey": area.survey,
    }


class AreaDetail(OneArea, RoomPage):
    """An area: its shapes and plan, and the form for one more (`?kind=` says which)."""

    permission = SEE
    template_name = "jobs/surveys/area.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        area: Area = self.found
        may_write = self.request.user.has_perm(WRITE) and area.survey.finished_at is None
        if may_write:
            wanted = self.request.GET.get("kind", "")
            kwargs["kind"] = wanted if wanted in TAPED else ShapeKind.RECTANGLE.value
            kwargs["form"] = ShapeForm(kind=kwargs["kind"])
            if self.request.htmx:
                kwargs["form"].take_focus()
        return super().get_context_data(**area_context(area), **kwargs)


class NamesInSurvey:
    """Offers the pours and colours that the survey has, as one types."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found: Any = self.found  # type: ignore[attr-defined]
        survey = found if isinstance(found, Survey) else found.survey
        pours, groups = names_in(survey)
        context: dict[str, Any] = super().get_context_data(  # type: ignore[misc]
            pours=pours, groups=groups, **kwargs
        )
        return context


class AreaCreate(NamesInSurvey, OneOpenSurvey, ServiceFormView):
    permission = WRITE
    form_class = AreaForm
    template_name = "jobs/surveys/area_form.html"
    title = "Add an area"
    button = "Add the area and measure it"
    success_message = "Added {made}."

    def get_initial(self) -> dict[str, Any]:
        last = self.found.areas.measured().last()
        if last is None:
            return {"pour_name": "pour 1", "group_name": ""}
        return {
            "use": last.use, "depth_mm": last.depth_mm, "pour_name": last.pour_name,
            "group_name": last.group_name, "outdoors": last.outdoors, "edging": last.edging,
        }  # fmt: skip

    def act(self, form: Any) -> Area:
        values = dict(form.cleaned_data)
        key = values.pop("uid")
        return services.add_area(
            survey_id=self.found.pk, key=key, by=self.request.user, at=self.request.now, **values
        )

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())


class AreaEdit(NamesInSurvey, OneOpenArea, VersionedFormView):
    permission = WRITE
    form_class = AreaEditForm
    template_name = "jobs/surveys/area_form.html"
    button = "Save the area"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def change(self, form: Any) -> Area:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_area(
            area_id=self.found.pk, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class AreaRemove(OneOpenArea, ConfirmView):
    permission = WRITE
    button = "Remove the area"
    intro = "Its measurements are deleted. This cannot be taken back."
    success_message = "{found} was removed."

    def get_title(self) -> str:
        return f"Remove {self.found} and its shapes?"

    def act(self, form: Any) -> Survey:
        return services.remove_area(
            area_id=self.found.pk, by=self.request.user, at=self.request.now
        )


# -- shapes ----------------------------------------------------------------------------------


class ShapeCreate(OneOpenArea, ServiceFormView):
    """Adds a shape to the area in the address; the page around the form is the area's."""

    permission = WRITE
    template_name = "jobs/surveys/area.html"
    success_message = "Added the {made}."

    def find(self) -> Area:
        if self.kwargs["kind"] not in TAPED:
            raise Http404
        return super().find()

    def get_form(self, form_class: Any = None) -> Any:
        return ShapeForm(**self.get_form_kwargs(), kind=self.kwargs["kind"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("form", self.get_form())
        if self.request.htmx:
            kwargs["form"].take_focus()
        return super().get_context_data(
            **area_context(self.found), kind=self.kwargs["kind"], **kwargs
        )

    def get_template_names(self) -> list[str]:
        return [WORK] if self.request.htmx else [self.template_name]

    def act(self, form: Any) -> Shape:
        return services.add_shape(
            area_id=self.found.pk, kind=self.kwargs["kind"], key=form.cleaned_data["uid"],
            by=self.request.user, at=self.request.now, **form.for_service(),
        )  # fmt: skip

    def form_valid(self, form: BaseForm) -> HttpResponse:
        response = super().form_valid(form)
        if self.made is None or not self.request.htmx:
            return response
        # A fragment: the page's part with the new plan, and an empty form for the next shape.
        self.found = self.find()
        fresh = ShapeForm(kind=self.kwargs["kind"])
        return self.render_to_response(self.get_context_data(form=fresh, added=line_of(self.made)))


class OneOpenShape:
    """Finds the shape of the address in a survey that is not finished."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "shape"

    def find(self) -> Shape:
        return get_object_or_404(
            Shape.objects.select_related("area__survey"),
            pk=self.kwargs["pk"], area__survey__finished_at=None,
        )  # fmt: skip

    def get_back_url(self) -> str:
        found: Shape = self.found  # type: ignore[attr-defined]
        return found.get_absolute_url()


class ShapeEdit(OneOpenShape, VersionedFormView):
    permission = WRITE
    form_class = ShapeEditForm
    template_name = "jobs/surveys/shape_form.html"
    button = "Save the shape"
    success_message = "Saved the {made}."

    def get_title(self) -> str:
        return f"Change the {self.found} of {self.found.area}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"kind": self.found.kind}

    def get_initial(self) -> dict[str, Any]:
        names = ("deduct", "shared", "note", "at_x_m", "at_y_m")
        return self.initial_of(names) | written(self.found.measurements)

    def change(self, form: Any) -> Shape:
        return services.change_shape(
            shape_id=self.found.pk, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now, **form.for_service(),
        )  # fmt: skip


class ShapeRemove(OneOpenShape, ConfirmView):
    permission = WRITE
    button = "Remove the shape"
    success_message = "The {found} was removed."

    def get_title(self) -> str:
        return f"Remove the {self.found} from {self.found.area}?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        words = line_of(self.found).words
        return super().get_context_data(intro=f"It is a {words}.", **kwargs)

    def act(self, form: Any) -> Area:
        return services.remove_shape(
            shape_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())
