"""Pages of areas and shapes: without a script, and as fragments with one."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from jobs.surveys.models import Area, Shape
from tests.factories import AT, make_area, make_survey

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
HTMX = {"HX-Request": "true"}


def shape(**values: str) -> dict[str, str]:
    return {"uid": str(uuid4()), "length": "4 m", "width": "1.2 m", **values}


def test_an_area_is_added_and_its_page_asks_for_shapes(owner: Any, client_for: ClientFor) -> None:
    survey = make_survey()
    client = client_for(owner)
    data = {
        "uid": str(uuid4()), "name": "drive", "use": "vehicles", "depth_mm": "18",
        "pour_name": "front", "group_name": "buff", "outdoors": "on", "edging": "on",
    }  # fmt: skip
    response = client.post(f"/surveys/{survey.pk}/areas/add/", data)
    area = Area.objects.get()
    assert response["Location"] == f"/surveys/areas/{area.pk}/"
    page = client.get(response["Location"]).content.decode()
    assert "Not measured yet." in page
    assert f'action="/surveys/areas/{area.pk}/shapes/add/rectangle/"' in page
    # The next area starts from this one's depth and pour.
    form = client.get(f"/surveys/{survey.pk}/areas/add/").context["form"]
    assert (str(form["depth_mm"].value()), form["pour_name"].value()) == ("18.0", "front")


def test_a_negative_depth_stays_typed_with_its_sentence(owner: Any, client_for: ClientFor) -> None:
    data = {"uid": str(uuid4()), "name": "drive", "use": "vehicles", "depth_mm": "-18"}
    response = client_for(owner).post(f"/surveys/{make_survey().pk}/areas/add/", data)
    html = response.content.decode()
    assert response.status_code == 422
    assert "-18 mm is no depth of a laid surface; accepted is 0.1 to 500 mm." in html
    assert 'value="-18"' in html
    assert not Area.objects.exists()


def test_without_a_script_a_shape_leads_back_to_the_area(owner: Any, client_for: ClientFor) -> None:
    area = make_area(shapes=[])
    client = client_for(owner)
    url = f"/surveys/areas/{area.pk}/shapes/add/rectangle/"
    data = shape()
    assert client.post(url, data)["Location"] == f"/surveys/areas/{area.pk}/"
    assert client.post(url, data).status_code == 302
    assert Shape.objects.count() == 1


def test_with_a_script_the_plan_follows_and_the_form_is_empty_again(
    owner: Any, client_for: ClientFor
) -> None:
    area = make_area(shapes=[])
    client = client_for(owner)
    url = f"/surveys/areas/{area.pk}/shapes/add/rectangle/"
    data = shape()
    response = client.post(url, data, headers=HTMX)
    html = response.content.decode()
    assert response.status_code == 200
    assert html.lstrip().startswith('<div id="work">')
    assert "Added: rectangle 4 m × 1.2 m." in html
    assert "4.80\N{NO-BREAK SPACE}m²" in html
    assert 'class="plan"' in html
    assert 'value="4 m"' not in html
    assert data["uid"] not in html


def test_a_refusal_is_a_fragment_too_with_what_was_typed(owner: Any, client_for: ClientFor) -> None:
    area = make_area()
    url = f"/surveys/areas/{area.pk}/shapes/add/triangle/"
    data = {"uid": str(uuid4()), "a": "2 m", "b": "3 m", "c": "6 m"}
    response = client_for(owner).post(url, data, headers=HTMX)
    html = response.content.decode()
    assert response.status_code == 422
    assert html.lstrip().startswith('<div id="work">')
    assert "do not close: the longest, 6 m, must be shorter" in html
    assert 'value="6 m"' in html
    assert 'aria-invalid="true"' in html
    assert re.search(r'<input[^>]*name="a"[^>]* autofocus', html)
    assert area.shapes.count() == 1


def test_fifty_thousand_square_metres_are_asked_again_with_a_tick(
    owner: Any, client_for: ClientFor
) -> None:
    area = make_area(shapes=[])
    client = client_for(owner)
    url = f"/surveys/areas/{area.pk}/shapes/add/rectangle/"
    assert "that large" not in client.get(f"/surveys/areas/{area.pk}/").content.decode()
    data = shape(length="250 m", width="200 m")
    asked = client.post(url, data)
    assert asked.status_code == 422
    assert '<input type="checkbox" name="large"' in asked.content.decode()
    assert client.post(url, data | {"large": "on"}).status_code == 302
    assert Shape.objects.get().measurements == {"length": "250 m", "width": "200 m"}


@pytest.mark.parametrize(
    ("kind", "typed", "field"),
    [
        ("outline", {"points": "0, 0\nsix", "unit": "m"}, "points"),
        ("rectangle", {"length": "6 ells", "width": "1 m"}, "length"),
        ("rectangle", {"length": "", "width": "1 m"}, "length"),
        ("offsets", {"offsets": "2 m, 3 m", "rule": "simpson"}, "offsets"),
        ("sector", {"radius": "2 m", "angle": "400 deg"}, "angle"),
        ("rectangle", {"length": "2 m", "width": "1 m", "at_x_m": "1"}, "at_x_m"),
        ("rectangle", {"length": "2 m", "width": "1 m", "restrained": "90 m"}, "restrained"),
    ],
)
def test_each_refusal_stands_at_its_field(
    kind: str, typed: dict[str, str], field: str, owner: Any, client_for: ClientFor
) -> None:
    area = make_area(shapes=[])
    response = client_for(owner).post(
        f"/surveys/areas/{area.pk}/shapes/add/{kind}/", typed | {"uid": str(uuid4())}
    )
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert not Shape.objects.exists()


def test_a_shape_is_changed_from_what_was_written_down(owner: Any, client_for: ClientFor) -> None:
    area = make_area(
        shapes=[{"kind": "outline", "measurements": {"points": [[0, 0], [4, 0], [4, 3]]}}]
    )
    row = area.shapes.get()
    client = client_for(owner)
    url = f"/surveys/shapes/{row.pk}/change/"
    form = client.get(url).context["form"]
    assert form["points"].value() == "0, 0\n4, 0\n4, 3"
    data = {
        "version": str(row.version), "points": "0, 0\n4, 0\n4, 3\n0, 3", "unit": "m",
    }  # fmt: skip
    assert client.post(url, data).status_code == 302
    stale = client.post(url, data | {"points": "0, 0\n1, 0\n1, 1"})
    assert stale.status_code == 422
    assert "Somebody else saved this page" in stale.content.decode()
    row.refresh_from_db()
    assert len(row.measurements["points"]) == 4


def test_a_finished_area_is_shown_without_forms(owner: Any, client_for: ClientFor) -> None:
    area = make_area(make_survey(finished_at=AT))
    page = client_for(owner).get(f"/surveys/areas/{area.pk}/").content.decode()
    assert "Add a shape" not in page
    assert "21.08" in page
    assert client_for(owner).get(f"/surveys/areas/{area.pk}/change/").status_code == 404


def test_the_area_page_costs_the_same_for_any_number_of_shapes(
    owner: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    one = {"kind": "rectangle", "measurements": {"length": "2 m", "width": "1 m"}}
    client = client_for(owner)
    for count in (1, 3):
        area = make_area(shapes=[one] * count)
        # Session, user, his permissions (two), the area, its shapes.
        with django_assert_num_queries(6):
            client.get(f"/surveys/areas/{area.pk}/")


def test_a_fragment_of_the_empty_form_is_answered(owner: Any, client_for: ClientFor) -> None:
    url = f"/surveys/areas/{make_area().pk}/shapes/add/rectangle/"

    response = client_for(owner).get(url, headers=HTMX)

    assert response.status_code == 200
    assert 'name="length"' in response.content.decode()
