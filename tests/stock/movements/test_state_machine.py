"""Two hundred steps at random over the whole stock; after each the book re-adds exactly.

The model beside it is plain arithmetic: what came in is in the yard, at sites, laid, or wasted.
"""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from jobs.kernel.errors import ServiceError
from stock.allocation.services import release_job, reserve_job
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Movement, Posting
from stock.ledger.queries import job_shares, place
from stock.ledger.services import Row, hold_lot, post_movements, release_lot, split_lot
from stock.movements.queries import audit_stock
from stock.movements.services import (
    ReturnRow,
    count_place,
    issue_job,
    return_from_site,
    transfer_stock,
    undo_posting,
    waste_stock,
)
from tests.factories import (
    AT,
    DAY,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_stone,
)

small = st.integers(1, 4)
which = st.integers(0, 10_000)
STEPS = (
    "receive", "reserve", "reserve", "issue", "issue", "bring_back", "bring_back", "lay", "lay",
    "waste", "move", "count", "give_back", "hold_or_release", "split", "undo", "undo",
)  # fmt: skip


# How often each kind was booked, over all runs: a machine that books nothing shows nothing.
SEEN: Counter[str] = Counter()


class Stock(RuleBasedStateMachine):
    """A yard of two items, three places and three jobs, worked at random."""

    @initialize()
    def open_the_yard(self) -> None:
        self.items = [make_kit(), make_stone()]
        self.places: list[Place] = [make_place(), make_place(), make_place("van")]
        self.jobs = [make_job(stage="won") for _ in range(3)]
        for job in self.jobs:
            for item in self.items:
                make_requirement(job, item, 6)

        for n in range(6):
            self.receive(1_000 * n + 62 * (n % 2) + n % 2, 4, flag=False)

    @rule(step=st.sampled_from(STEPS), n=which, part=small, flag=st.booleans())
    def take_a_step(self, step: str, n: int, part: int, flag: bool) -> None:
        """One rule that draws the step: rules of their own would be switched off by whole runs."""
        getattr(self, step)(n, part, flag)

    def try_it(self, service: Any, **values: Any) -> Any:
        """Call a service; a refusal with a sentence is an answer, anything else is a failure."""
        try:
            return service(by=None, at=AT, **values)
        except ServiceError:
            return None

    def lot(self, n: int) -> Lot | None:
        lots = list(Lot.objects.order_by("pk"))
        return lots[n % len(lots)] if lots else None

    def balance(self, n: int, *kinds: str) -> Balance | None:
        """Something that lies anywhere, or in a place of some kinds."""
        found = Balance.objects.filter(quantity__gt=0)
        rows = list(
            (found.filter(place__kind__in=kinds) if kinds else found)
            .select_related("lot__item", "place")
            .order_by("pk")
        )
        return rows[n % len(rows)] if rows else None

    def receive(self, n: int, part: int, flag: bool) -> None:
        days, pence = n % 63 - 2, n % 9_999
        make_lot(
            self.items[n % 2], part, place=self.places[n % 3], cost=Decimal(pence) / 100,
            **({"expiry": DAY + timedelta(days=days)} if n % 2 == 0 else {"run": "one"}),
        )  # fmt: skip

    def reserve(self, n: int, part: int, flag: bool) -> None:
        self.try_it(reserve_job, job_id=self.jobs[n % 3].pk)

    def give_back(self, n: int, part: int, flag: bool) -> None:
        self.try_it(release_job, job_id=self.jobs[n % 3].pk)

    def issue(self, n: int, part: int, flag: bool) -> None:
        key, job = uuid4(), self.jobs[n % 3]
        first = self.try_it(issue_job, job_id=job.pk, key=key, day=DAY)
        if first is not None:
            assert self.try_it(issue_job, job_id=job.pk, key=key, day=DAY) == first

    def bring_back(self, n: int, part: int, flag: bool) -> None:
        opened = flag
        row = self.balance(n, "site")
        if row is not None:
            quantity = 3_000 * part if opened else part * row.lot.item.pack_quantity
            self.try_it(
                return_from_site, job_id=row.place.job_id, place_id=self.places[n % 3].pk,
                rows=[ReturnRow(row.lot_id, quantity, opened)], key=uuid4(), day=DAY,
            )  # fmt: skip

    def lay(self, n: int, part: int, flag: bool) -> None:
        row = self.balance(n, "site")
        if row is not None:
            laid = place("laid")

            def post(**values: Any) -> Posting:
                with transaction.atomic():
                    return post_movements(**values)

            self.try_it(
                post, key=uuid4(), kind="lay", job_id=row.place.job_id, day=DAY,
                rows=[Row(row.lot_id, part * row.lot.item.pack_quantity, row.place_id, laid.pk)],
            )  # fmt: skip

    def waste(self, n: int, part: int, flag: bool) -> None:
        row = self.balance(n)
        if row is not None:
            self.try_it(
                waste_stock, lot_id=row.lot_id, place_id=row.place_id, reason="torn", day=DAY,
                quantity=part * row.lot.item.pack_quantity, key=uuid4(),
            )  # fmt: skip

    def move(self, n: int, part: int, flag: bool) -> None:
        row = self.balance(n)
        if row is not None:
            self.try_it(
                transfer_stock, lot_id=row.lot_id, from_place_id=row.place_id, key=uuid4(),
                to_place_id=self.places[part % 3].pk, quantity=part, day=DAY,
            )  # fmt: skip

    def split(self, n: int, part: int, flag: bool) -> None:
        row = self.balance(n, "bay", "van")
        if row is not None:
            self.try_it(
                split_lot, lot_id=row.lot_id, place_id=row.place_id, key=uuid4(),
                quantity=part * row.lot.item.pack_quantity, held_reason="damp" if flag else "",
            )  # fmt: skip

    def count(self, n: int, part: int, flag: bool) -> None:
        seen = part if flag else 0
        row = self.balance(n)
        if row is not None:
            self.try_it(
                count_place, place_id=row.place_id, key=uuid4(), may_approve=True,
                counted={row.lot_id: seen * row.lot.item.pack_quantity},
            )  # fmt: skip

    def hold_or_release(self, n: int, part: int, flag: bool) -> None:
        lot = self.lot(n)
        if lot is not None:
            service = hold_lot if lot.status == "released" else release_lot
            self.try_it(service, lot_id=lot.pk, reason="looked at")

    def undo(self, n: int, part: int, flag: bool) -> None:
        postings = list(Posting.objects.order_by("pk"))
        if postings:
            posting = postings[n % len(postings)]
            self.try_it(undo_posting, posting_id=posting.pk, reason="mistake", key=uuid4())

    def teardown(self) -> None:
        SEEN.update(Posting.objects.values_list("kind", flat=True))

    @invariant()
    def the_book_re_adds(self) -> None:
        assert audit_stock().differences == []

    @invariant()
    def whoever_brought_all_back_pays_nothing(self) -> None:
        lots = list(Lot.objects.values_list("pk", flat=True))
        for job in self.jobs:
            for share in job_shares(job_id=job.pk, lot_ids=lots).values():
                assert share.quantity > 0 or share.cost == 0

    @invariant()
    def nothing_appears_or_vanishes(self) -> None:
        """In the yard and at sites lies what came from anywhere less what went anywhere."""
        ends = {"bay", "van", "site"}
        lying = 0
        for move in Movement.objects.select_related("from_place", "to_place"):
            lying += move.quantity * ((move.to_place.kind in ends) - (move.from_place.kind in ends))
        assert lying == sum(lot.on_hand + lot.at_sites for lot in Lot.objects.all())


@pytest.mark.slow
@pytest.mark.django_db
def test_two_hundred_steps_keep_the_book() -> None:
    savepoint = transaction.savepoint()

    class FromEmpty(Stock):
        """Each example begins with an empty yard: what the last one wrote is rolled back."""

        def __init__(self) -> None:
            transaction.savepoint_rollback(savepoint)
            super().__init__()

    # What is drawn may be the simplest there is, over and over: then it is drawn again.
    for _ in range(4):
        run_state_machine_as_test(
            FromEmpty,
            settings=settings(
                max_examples=3, stateful_step_count=200, deadline=None, database=None,
                suppress_health_check=list(HealthCheck),
                # Making a failure smaller would take minutes.
                phases=[Phase.generate],
            ),
        )  # fmt: skip
        if set(SEEN) == set(PostingKind.values):
            break
    assert set(SEEN) == set(PostingKind.values), SEEN
