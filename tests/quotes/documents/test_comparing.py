"""Two revisions side by side: nothing is lost, nothing is made up, and both ways round agree."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.documents.rules import Version, blends_in_words, compare, pair_lines
from quotes.quoting.models import Line
from quotes.quoting.rules import SheetLine, SheetStage
from quotes.quoting.services import (
    add_line,
    change_line,
    change_terms,
    change_words,
    remove_line,
    revise,
    send_revision,
)
from tests.factories import AT
from tests.quotes.documents.test_documents import make_sheet
from tests.quotes.world import make_quote_world

POUNDS = st.decimals("0.01", 9_000, places=2)
LINES = st.lists(
    st.builds(
        SheetLine,
        key=st.integers(1, 99),
        words=st.sampled_from(["Edging", "Edging in steel", "Lift and cart away", "Skip"]),
        quantity=st.decimals("0.1", 50, places=3),
        unit=st.sampled_from(["m", "m²"]),
        net=POUNDS,
        gross=POUNDS,
        kind=st.sampled_from(["work", "free"]),
    ),
    max_size=7,
)


@given(LINES, LINES)
@settings(max_examples=80, deadline=None)
def test_every_line_of_both_sides_stands_in_one_pair(
    old: list[SheetLine], new: list[SheetLine]
) -> None:
    pairs = pair_lines(old, new)

    before = [pair.before for pair in pairs if pair.before is not None]
    after = [pair.after for pair in pairs if pair.after is not None]
    assert sorted(map(id, before)) == sorted(map(id, old))
    assert after == new
    moved = sum(
        (pair.after.net if pair.after else 0) - (pair.before.net if pair.before else 0)
        for pair in pairs
    )
    assert moved == sum(line.net for line in new) - sum(line.net for line in old)
    assert all(not pair.change for pair in pair_lines(new, [replace(x, key=0) for x in new]))


def version(number: int = 1, **fields: Any) -> Version:
    return Version(number, "sent", make_sheet(**fields), {"buff": "kit of a and b"}, "1.0", {})


def test_a_revision_says_the_same_as_itself() -> None:
    assert compare(version(), version(2)).is_same
    assert not compare(version(), version(2, terms="Pay before.")).is_same


def test_whatever_the_customer_reads_differently_is_a_difference() -> None:
    sheet = make_sheet()
    first, *others = sheet.lines
    warned = (replace(first, caution="Paler when dry."), *others)
    stage = SheetStage("All of it", None, None, False, sheet.net, sheet.vat, sheet.gross)
    for fields in (
        {"lines": warned}, {"title": "Drive"}, {"site": "2 Mill Lane"}, {"sample": "Buff, shown"},
        {"stages": (stage,)}, {"customer": "B. Householder"}, {"vat_words": "VAT at 5 %: x"},
    ):  # fmt: skip
        assert not compare(version(), version(2, **fields)).is_same, fields


def test_words_are_told_line_by_line() -> None:
    found = compare(version(terms="One.\nTwo."), version(terms="One.\nThree.\nFour."))

    assert [(text.label, text.gone, text.added) for text in found.words] == [
        ("terms", ("Two.",), ("Three.", "Four."))
    ]


def test_a_blend_is_told_in_words() -> None:
    kit = {"part_a": "4800 g", "part_b": "2200 g", "uv_stable": False}
    stones = [{"name": "stone 2-6 mm", "bag": "20 kg", "bags": 4.0}]
    document = {"blends": {"buff": {"kit": kit, "components": stones}}, "areas": [{}]}

    words = blends_in_words(document)["buff"].replace("\xa0", " ")

    assert words == (
        "kit of 4.8 kg and 2.2 kg, changes its colour outdoors; 4 × 20 kg stone 2-6 mm"
    )


@pytest.mark.django_db
def test_the_page_shows_what_changed(
    office: Any, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    # long because: two revisions that differ in each way there is
    world = make_quote_world()
    first = world.send()
    second = revise(revision_id=first.pk, by=None, at=AT)
    gone = Line.objects.get(revision=second, words=world.edge_work.name)
    kept = Line.objects.get(revision=second, kind="surface")
    remove_line(line_id=gone.pk, by=None, at=AT)
    add_line(
        revision_id=second.pk, kind="free", words="Skip for a week", quantity=Decimal(1),
        fixed=Decimal("250.00"), by=None, at=AT,
    )  # fmt: skip
    change_line(
        line_id=kept.pk, words="Surfacing in buff", fixed=Decimal("2500.00"), by=None, at=AT
    )
    change_terms(
        revision_id=second.pk, values={"valid_until": first.valid_until + timedelta(days=3)},  # type: ignore[operator]
        by=None, at=AT,
    )  # fmt: skip
    change_words(revision_id=second.pk, values={"exclusions": "Drains."}, by=None, at=AT)
    send_revision(revision_id=second.pk, to="home@customer.example", by=None, at=AT)
    second.refresh_from_db()

    url = f"/documents/compare/{first.quote_id}/"
    text = client_for(office).get(url).content.decode()
    rows = {
        cells[0]: cells
        for row in re.findall(r"<tr.*?</tr>", text, re.DOTALL)
        if (cells := [
            re.sub(r"<[^>]+>|\s+", " ", cell).strip()
            for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)
        ])
    }  # fmt: skip

    assert rows["Skip for a week"][1:] == ["–", "–", "1", "£250.00", "added"]
    assert rows[world.edge_work.name][-1] == "gone"
    reworded = next(cells for name, cells in rows.items() if name.startswith("Surfacing in buff"))
    assert (reworded[4], reworded[5]) == ("£2,500.00", "changed")
    assert rows["price with VAT"][1:] == [
        f"£{first.gross:,.2f}", f"£{second.gross:,.2f}", "changed",
    ]  # fmt: skip
    assert rows["holds until"][-1] == "changed"
    assert rows["reckoned by engine"][-1] == "same"
    assert "<ins>Drains.</ins>" in text
    # What only some may see is not told to the others.
    assert f"{first.direct:,.2f}" not in text
    assert f"{first.direct:,.2f}" in client_for(owner).get(url).content.decode()
    same = client_for(office).get(f"{url}?first=2&second=2").content.decode()
    assert "They say the same" in same


@pytest.mark.django_db
@pytest.mark.parametrize("query", ["?first=9&second=1", "?first=x", "?second=-1"])
def test_a_revision_that_is_not_there_is_said_at_its_field(
    query: str, office: Any, client_for: Callable[[Any], Client]
) -> None:
    first = make_quote_world().send()
    revise(revision_id=first.pk, by=None, at=AT)

    response = client_for(office).get(f"/documents/compare/{first.quote_id}/{query}")

    assert response.status_code == 200
    assert response.context["form"].errors
    assert response.context["comparison"] is None
