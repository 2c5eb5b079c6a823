"""Forms that are safe to send twice, and the copy of a row that a page carries."""

from __future__ import annotations

import re
from decimal import Decimal
from types import SimpleNamespace

from django import forms

from jobs.kernel.forms import OnceForm, VersionedForm, opened_values, read_opened, stale_changes


class RowForm(VersionedForm):
    name = forms.CharField()
    kind = forms.ChoiceField(choices=[("a", "first kind"), ("b", "second kind")])
    ticked = forms.BooleanField(required=False)


def row(**values: object) -> SimpleNamespace:
    return SimpleNamespace(**{"name": "Drive", "kind": "a", "ticked": False, **values})


def filled(opened: str, **values: str) -> RowForm:
    form = RowForm({"version": "1", "opened": opened, "name": "Drive", "kind": "a", **values})
    assert form.is_valid(), form.errors
    return form


def test_each_page_has_a_key_of_its_own_and_keeps_it_when_refused() -> None:
    assert OnceForm()["uid"].value() != OnceForm()["uid"].value()
    key = "9a3b1b1e-0000-4000-8000-000000000001"
    assert OnceForm({"uid": key})["uid"].value() == key
    assert not OnceForm({"uid": "no key"}).is_valid()


def test_what_changed_meanwhile_is_told_in_words() -> None:
    form = filled(opened_values(row(), ["name", "kind", "ticked"]), name="Drive two")
    (kind, ticked) = stale_changes(form, row(kind="b", ticked=True))
    assert (kind.label, kind.before, kind.now, kind.typed) == (
        "Kind", "first kind", "second kind", "first kind",
    )  # fmt: skip
    assert (ticked.before, ticked.now) == ("no", "yes")


def test_a_copy_that_was_tampered_with_is_left_out() -> None:
    opened = opened_values(row(depth=Decimal("18.0")), ["depth"])
    assert read_opened(opened) == {"depth": "18.0"}
    assert read_opened(f"{opened}x") == {}
    # Without a copy, what differs from what was typed is shown.
    form = filled("", name="Drive two")
    assert [change.label for change in stale_changes(form, row())] == ["Name"]


def test_an_empty_choice_is_a_word_and_no_row_of_dashes() -> None:
    field = forms.TypedChoiceField(choices=[("", "---------"), ("a", "first")])
    text = str(type("Page", (forms.Form,), {"thing": field})().render())
    assert "---" not in text
    assert re.search(r'<option value=""[^>]*>choose</option>', text)
    assert re.search(r'<option value="a">first</option>', text)
