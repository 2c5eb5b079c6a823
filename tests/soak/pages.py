"""Reads forms from pages: where each is sent, and what a browser would send from it untouched."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Form:
    """One form of a page; `fields` holds the values that stand in it."""

    action: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)


class FormReader(HTMLParser):
    """Collects the forms of a page. Of a choice it takes what is chosen, else the last one."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.forms: list[Form] = []
        self._form: Form | None = None
        self._select = ""
        self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._form = Form(values.get("action", ""), values.get("method", "get").lower())
            self.forms.append(self._form)
        elif self._form is None:
            return
        elif tag == "select":
            self._select = values.get("name", "")
            self._form.fields.setdefault(self._select, [""])
        elif tag == "option" and self._select:
            held = self._form.fields[self._select]
            if "selected" in values or held in ([""], []):
                self._form.fields[self._select] = [values.get("value", "")]
        elif tag == "textarea":
            self._area = values.get("name", "")
            self._form.fields[self._area] = [""]
        elif tag == "input" and values.get("name"):
            self._form.fields.setdefault(values["name"], []).append(values.get("value", ""))

    def handle_data(self, data: str) -> None:
        if self._form is not None and self._area:
            self._form.fields[self._area][0] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""


def forms_of(page: str) -> list[Form]:
    """Return the forms of a page, in its order."""
    reader = FormReader()
    reader.feed(page)
    reader.close()
    for form in reader.forms:
        form.fields.pop("csrfmiddlewaretoken", None)
        form.fields.pop("", None)
    return reader.forms
