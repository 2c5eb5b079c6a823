"""The page of the proposal: what it says, its progress, taking over, bad input."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from jobs.kernel import clock
from stock.allocation.models import Proposal, ProposalLine
from stock.allocation.queries import exact_of
from stock.allocation.tasks import propose_one
from tests.factories import AT, make_kit, make_lot, make_stone
from tests.stock.allocation.test_proposals import asked, kept, reckoned, swapped, two_pours, won
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db
__all__ = ["swapped"]  # a fixture of the other file


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_any_number_of_lines(
    count: int, client_for: Any, storeman: Any
) -> None:
    kit = make_kit()
    for _ in range(count):
        won(kit, 2)
        make_lot(kit, 2)
    asked()
    # session, user, 2 of permissions; the proposal, the exact one, count, rows, bundles
    assert queries_of(client_for(storeman), reverse("allocation:proposal")) == 9


def test_the_page_says_what_would_move_why_and_what_it_gains(
    swapped: Any, client_for: Any, storeman: Any, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "now", lambda: AT)
    early, late, big, small = swapped
    stone = make_stone()
    short = won(stone, 8)
    two_pours(short)
    for run in ("27-01", "27-02"):
        make_lot(stone, 6, run=run)
    client = client_for(storeman)
    client.post(reverse("allocation:propose"), {"days": "42"})
    exact = exact_of(Proposal.objects.get(method="greedy"))
    assert exact is not None
    url = reverse("allocation:proposal")
    assert "waiting for a worker" in client.get(url).content.decode()
    propose_one(exact.pk)
    progress = reverse("allocation:progress", args=[exact.uid])
    said = client.get(progress, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in said
    assert "Show it" in said
    text = client.get(url).content.decode()
    assert "<li>A natural break: " in text
    assert "No division of these lots is better: that is proven." in text
    assert f"{early.reference}</a>, " in text or f"{late.reference}</a>, " in text
    assert "these swap lots, so they go together" in text
    assert "run 26-01, the only one with all 6 bags for buff" in text
    assert "Worth of what is lost" not in text
    assert "Worth of what is lost" in client_for(owner).get(url).content.decode()
    answer = client.post(reverse("allocation:take", args=[exact.uid]), follow=True)
    assert "reservations changed." in answer.content.decode()
    assert (kept(early), kept(late)) == ({big.code: 6}, {small.code: 4})


@pytest.mark.parametrize("days", ["", "7", "x", "999999999999999999999", "42\x00"])
def test_bad_input_is_answered_with_a_sentence(client_for: Any, storeman: Any, days: str) -> None:
    client = client_for(storeman)
    answer = client.post(reverse("allocation:propose"), {"days": days}, follow=True)
    assert "Look ahead one of the periods of the list." in answer.content.decode()
    assert Proposal.objects.count() == 0


@pytest.mark.parametrize("bundle", ["0", "x", "-1", "99999999999999999999"])
def test_a_bundle_that_is_none_takes_nothing(
    swapped: Any, client_for: Any, storeman: Any, bundle: str
) -> None:
    exact = reckoned()
    client = client_for(storeman)
    url = reverse("allocation:take", args=[exact.uid])
    answer = client.post(url, {"bundle": bundle}, follow=True)
    assert "Take over one of the lines of the page." in answer.content.decode()
    assert not ProposalLine.objects.filter(taken_at__isnull=False).exists()
