"""A variation from draft to signature, and what the signature moves.

Long because: each state and each refusal has its own short test.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from jobs.attachments.services import keep_file
from jobs.audit.models import Event
from jobs.billing.models import PlanShare
from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from quotes.acceptance.services import new_link
from quotes.variations import panels, queries, services
from quotes.variations.models import Variation, VariationAnswer, VariationLink
from stock.allocation.models import Requirement
from stock.allocation.services import reserve_job
from stock.ordering.models import Order, OrderLine
from tests.factories import AT, make_booking, make_lot
from tests.quotes.variations import roles
from tests.quotes.variations.world import PDF, AgreedWorld, make_agreed, make_out
from tests.quotes.world import make_work_item

pytestmark = pytest.mark.django_db
assert roles.ROWS
YES = {"terms": True}


def needs_of(agreed: AgreedWorld) -> dict[tuple[int, str], int]:
    rows = Requirement.objects.filter(job=agreed.world.job, closed_at=None)
    return {(row.item_id, row.phase): row.quantity for row in rows}


def budget_of(agreed: AgreedWorld) -> Counter[str]:
    found: Counter[str] = Counter()
    for entry in CostEntry.objects.filter(job=agreed.world.job, kind="budget"):
        found[entry.category] += entry.amount
    return found


def add(variation: Variation, kind: str, quantity: str, **fields: Any) -> Any:
    values: dict[str, Any] = {"by": None, "at": AT}
    return services.add_line(
        variation_id=variation.pk, kind=kind, quantity=Decimal(quantity), **values | fields
    )


def send(variation: Variation, at: datetime = AT) -> Variation:
    return services.send_variation(
        variation_id=variation.pk, to="home@customer.example", by=None, at=at
    )


def accept(token: str, at: datetime, **fields: Any) -> VariationAnswer:
    values: dict[str, Any] = {
        "token": token, "name": "A. Householder", "consents": YES,
        "network_address": "203.0.113.9", "user_agent": "A telephone", "at": at,
    }  # fmt: skip
    return services.accept(**values | fields)


def link_to(variation: Variation) -> str:
    """Draw and mail it as the worker would; returns the token from the message."""
    services.keep_pdf(variation_id=variation.pk, kept=keep_file(data=PDF, name="v.pdf"), at=AT)
    services.deliver_variation(variation_id=variation.pk, at=AT)
    body = Message.objects.get(occasion=f"variation:{variation.pk}").body
    return body.split("/variations/answer/")[1].split("/")[0]


def test_less_of_the_quote_pays_back_at_the_price_agreed_and_moves_the_job(at: datetime) -> None:
    agreed = make_agreed()
    before, needs, world = budget_of(agreed), needs_of(agreed), agreed.world
    draft = agreed.start(title="Half the drive")
    half = agreed.surface.quantity / 2

    line = add(draft, "less", str(half), line_id=agreed.surface.pk)
    variation = send(Variation.objects.get(pk=draft.pk))
    answer = accept(link_to(variation), at)

    variation.refresh_from_db()
    expected = -(agreed.surface.net / 2)
    assert abs(line.net - expected) <= Decimal("0.01")
    assert (variation.state, variation.number, variation.net) == ("accepted", 1, line.net)
    # Nothing was ordered yet, so nothing is at stake. The VAT of quote and variation together is
    # that on their sum, half up (VAT Notice 700, 17.5: once on the document's total; memory).
    whole = agreed.revision.net + line.net
    vat = (whole / 5).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    assert agreed.revision.vat + variation.vat == vat
    # The plan of payments comes to the same, to the penny.
    shares = PlanShare.objects.filter(stage__plan__job=agreed.world.job)
    assert sum(share.net + share.vat for share in shares) == whole + vat
    assert answer.pounds == variation.gross
    after = budget_of(agreed)
    assert sum(after.values()) - sum(before.values()) == line.direct
    assert after["labour"] - before["labour"] == line.labour
    # Eight mixes become four: kits and bags fall by whole packs.
    assert needs[(world.kit.pk, "lay")] == 8
    assert needs_of(agreed)[(world.kit.pk, "lay")] == 4
    assert needs_of(agreed)[(world.stones[0].pk, "lay")] == 320_000
    assert needs_of(agreed)[(world.edging.pk, "prepare")] == needs[(world.edging.pk, "prepare")]
    to = set(Message.objects.filter(occasion__startswith="variation-accepted:")
             .values_list("to", flat=True))  # fmt: skip
    assert to == {"home@customer.example", "office@resinwright.example"}
    assert answer.pdf_digest == hashlib.sha256(PDF).hexdigest()
    assert answer.consents["terms"]["given"] is True


def test_work_and_own_lines_are_priced_like_the_quote(at: datetime) -> None:
    agreed = make_agreed()
    draft = agreed.start()

    work = add(draft, "work", "4", work_item_id=agreed.world.lifting.pk)
    own = add(draft, "free", "1", words="Skip", cost_each=Decimal("60.00"))
    credit = add(draft, "free", "1", words="Goodwill", fixed=Decimal("-25.00"))

    # 4 m² at 0.25 h × £30 and £6.50 plant: £56.00; with 12 % and 25 %: 62.72 / 0.75.
    assert (work.direct, queries_net(work)) == (Decimal("56.00"), Decimal("83.63"))
    assert queries_net(own) == Decimal("89.60")
    assert queries_net(credit) == Decimal("-25.00")
    variation = Variation.objects.get(pk=draft.pk)
    assert variation.net == Decimal("148.23")
    assert variation.direct == Decimal("116.00")


def test_new_work_costs_what_the_yard_will_pay(at: datetime, owner: Any, client: Client) -> None:
    # long because: three purchases follow each other on one job
    agreed = make_agreed()
    world, before, spent = agreed.world, needs_of(agreed), budget_of(agreed)
    taken = {world.edging: 1_000, world.sand: 1_000}
    trim = make_work_item("TRIM", "m", "none", {"stock": taken}, name="Trim")
    draft = agreed.start()
    # 20.16 m of edging came to nine lengths of 2.5 m: 0.936 of one is left
    small = add(draft, "work", "2", work_item_id=world.edge_work.pk)
    small.refresh_from_db()
    # 2.1 m come out of it: nothing is bought, and no carriage paid
    assert (small.materials, small.stock[0]["quantity"]) == (0, 0)
    assert any(row["how"].startswith("0.84 × length out") for row in small.workings)

    more = add(draft, "work", "4", work_item_id=trim.pk)
    for line in (small, more):
        line.refresh_from_db()

    # by hand: 4 m are 1.6 lengths, 0.096 are left, so two at £9.95; of sand, whose bags the quote
    # takes whole, one at £2.20; the order's carriage of £45 once
    assert [row["quantity"] for row in more.stock] == [5_000, world.sand.pack_quantity]
    assert (small.materials, more.materials) == (0, Decimal("67.10"))
    assert sum(Decimal(row["cost"]) for row in more.stock) == more.materials
    client.force_login(owner)
    page = client.get(f"/variations/{draft.pk}/").content.decode()
    assert "What new work costs" in page
    assert "of the order from" in page
    # by itself it takes what the other left: one length
    services.remove_line(line_id=small.pk, by=None, at=at)
    more.refresh_from_db()
    assert (more.stock[0]["quantity"], more.materials) == (2_500, Decimal("57.15"))

    accept(link_to(send(Variation.objects.get(pk=draft.pk))), at)

    assert Counter(needs_of(agreed)) - Counter(before) == Counter(
        {(world.edging.pk, "prepare"): 2_500, (world.sand.pk, "prepare"): world.sand.pack_quantity}
    )
    assert sum(budget_of(agreed).values()) - sum(spent.values()) == more.direct
    # what it left in its length is there for the next: 0.336 × 2.5 m
    later = agreed.start()
    last = add(later, "work", "0.8", work_item_id=trim.pk)
    last.refresh_from_db()
    assert last.stock[0]["quantity"] == 0


def queries_net(line: Any) -> Decimal:
    line.refresh_from_db()
    net: Decimal = line.net
    return net


def test_no_more_can_be_left_out_than_was_agreed(at: datetime) -> None:
    agreed = make_agreed()
    first = agreed.start()
    add(first, "less", "20", line_id=agreed.surface.pk)
    second = agreed.start()

    with pytest.raises(ServiceError, match=r"Only 1\.08 of it is left") as refused:
        add(second, "less", "2", line_id=agreed.surface.pk)
    assert refused.value.field == "quantity"
    with pytest.raises(ServiceError, match="Only 1"):
        add(first, "less", "2", line_id=agreed.surface.pk)
    add(second, "less", "1.08", line_id=agreed.surface.pk)
    send(Variation.objects.get(pk=first.pk))
    services.withdraw_variation(variation_id=first.pk, by=None, at=at)
    add(second, "less", "20", line_id=agreed.surface.pk)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"kind": "less", "quantity": "1"}, "line"),
        ({"kind": "work", "quantity": "1"}, "work_item"),
        ({"kind": "free", "quantity": "1", "words": "Skip"}, "fixed"),
        ({"kind": "free", "quantity": "1", "fixed": Decimal(1)}, "words"),
        ({"kind": "free", "quantity": "0", "words": "Skip", "fixed": Decimal(1)}, "quantity"),
    ],
)
def test_what_is_missing_of_a_line_is_said_at_its_field(fields: dict[str, Any], field: str) -> None:
    draft = make_agreed().start()

    with pytest.raises(ServiceError) as refused:
        add(draft, **fields)

    assert refused.value.field == field


def cost_in(agreed: AgreedWorld, item: Any) -> Decimal:
    """What an item costs in the surfacing line that was agreed."""
    return Decimal(next(x["cost"] for x in agreed.surface.stock if x["item"] == item.pk))


def order_for(agreed: AgreedWorld, item: Any, packs: int, state: str = "placed") -> OrderLine:
    order = Order.objects.create(
        supplier=agreed.world.supplier, channel=agreed.world.supplier.channels.all()[0],
        state=state, reference=f"O-{Order.objects.count()}", drafted_at=AT, placed_at=AT,
    )  # fmt: skip
    group = "buff" if item.run_matched else ""
    return OrderLine.objects.create(
        order=order, item=item, job=agreed.world.job, colour_group=group, packs=packs,
        pack_price=Decimal("7.40"),
    )  # fmt: skip


def test_material_that_cannot_go_back_is_charged_and_what_can_at_the_suppliers_share(
    at: datetime,
) -> None:
    agreed = make_agreed()
    stone, kit = agreed.world.stones[0], agreed.world.kit
    assert (stone.run_matched, kit.run_matched) == (True, False)
    order_for(agreed, stone, 32)  # all of it, in one run
    order_for(agreed, kit, 8)
    draft = agreed.start()
    services.change_variation(
        variation_id=draft.pk, values={"restocking_percent": Decimal(15)}, by=None, at=at
    )

    add(draft, "less", str(agreed.surface.quantity), line_id=agreed.surface.pk)

    variation = Variation.objects.get(pk=draft.pk)
    # The stone's cost as agreed stays with the customer; the kits go back for 15 % of theirs.
    kept, back = cost_in(agreed, stone), cost_in(agreed, kit)
    share = (back * Decimal("0.15")).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    assert kept > 200
    assert variation.kept_material == kept
    assert variation.restocking == share
    assert variation.net == -agreed.surface.net + kept + share
    before = budget_of(agreed)
    sent = send(variation)
    accept(link_to(sent), at)
    after = budget_of(agreed)
    assert after["materials"] - before["materials"] == kept - agreed.surface.materials
    assert after["other"] - before["other"] == share
    words = [line.words for line in queries.sheet_of(sent, at).lines]
    assert "Material kept for this work that cannot be returned" in words


def test_stone_of_one_run_that_is_reserved_is_at_stake_too(at: datetime) -> None:
    agreed = make_agreed()
    stone = agreed.world.stones[0]
    for item, packs in ((agreed.world.kit, 8), (stone, 32), (agreed.world.stones[1], 8),
                        (agreed.world.sand, 8), (agreed.world.edging, 9)):  # fmt: skip
        make_lot(item, packs)
    reserve_job(job_id=agreed.world.job.pk, by=None, at=at)
    draft = agreed.start()

    add(draft, "less", str(agreed.surface.quantity / 2), line_id=agreed.surface.pk)

    found = {each.held.item_id: each for each in queries.stakes_of(
        agreed.world.job, list(draft.lines.all())
    )}  # fmt: skip
    assert found[stone.pk].kept == 16 * stone.pack_quantity
    assert (found[agreed.world.kit.pk].kept, found[agreed.world.kit.pk].returnable) == (0, 0)


def test_what_was_ordered_meanwhile_is_looked_at_before_it_goes(at: datetime) -> None:
    agreed = make_agreed()
    draft = agreed.start()
    add(draft, "less", str(agreed.surface.quantity), line_id=agreed.surface.pk)
    order_for(agreed, agreed.world.stones[0], 32)

    with pytest.raises(ServiceError, match="changed since this was priced"):
        send(Variation.objects.get(pk=draft.pk))

    services.change_variation(variation_id=draft.pk, values={}, by=None, at=at)
    assert send(Variation.objects.get(pk=draft.pk)).kept_material == cost_in(
        agreed, agreed.world.stones[0]
    )


def test_the_moment_to_order_by_and_the_effect_on_the_date(at: datetime) -> None:
    """Two working days' lead, telephone until 15:30; laid Tue 26 May, so here by Fri 22 May
    (Mon 25 is a bank holiday): the last order is Wed 20 May, 15:30."""
    agreed = make_agreed()
    make_booking(agreed.world.job, day=date(2026, 5, 26))
    draft = agreed.start()
    add(draft, "more", "5", line_id=agreed.surface.pk)
    services.change_variation(variation_id=draft.pk, values={"days_added": 1}, by=None, at=at)

    moment = queries.order_moment(agreed.world.job, list(draft.lines.all()), at)

    assert moment is not None
    assert (moment.booked, moment.late) == (True, False)
    assert moment.order_by is not None
    assert moment.order_by.astimezone(at.tzinfo) == datetime(2026, 5, 20, 15, 30, tzinfo=at.tzinfo)
    sent = send(Variation.objects.get(pk=draft.pk))
    sheet = queries.sheet_of(sent, at)
    assert sheet.order_by == sent.order_by == moment.order_by
    assert "1\u00a0day longer" in sheet.effect
    assert "Tue 26 May 2026" in sheet.effect
    late = queries.order_moment(
        agreed.world.job, list(draft.lines.all()), datetime(2026, 5, 21, 9, 0, tzinfo=at.tzinfo)
    )
    assert late is not None
    assert late.late
    entries = list(panels.variations_to_see_to(None, datetime(2026, 5, 18, 9, tzinfo=at.tzinfo)))
    assert "must be ordered by Wed 20 May, 15:30" in entries[0].why


def test_the_same_again_finds_it_accepted(at: datetime) -> None:
    variation, token = make_out()

    first = accept(token, at)
    second = accept(token, at + timedelta(minutes=1), name="Another device")

    assert first == second
    assert VariationAnswer.objects.get().name == "A. Householder"
    assert Message.objects.filter(occasion__startswith="variation-accepted:").count() == 2
    source = CostEntry.objects.filter(source="quotes.variation", source_id=variation.pk)
    assert sum(entry.amount for entry in source) == Decimal("60.00")


@pytest.mark.parametrize(
    ("fields", "field"), [({"name": " "}, "name"), ({"consents": {}}, "terms")]
)
def test_what_is_missing_of_an_answer_is_said_at_its_field(
    at: datetime, fields: dict[str, Any], field: str
) -> None:
    _, token = make_out()

    with pytest.raises(ServiceError) as refused:
        accept(token, at, **fields)

    assert refused.value.field == field
    assert not VariationAnswer.objects.exists()


def test_links_that_are_over_say_why(at: datetime) -> None:
    agreed = make_agreed()
    variation, token = make_out(agreed)
    assert variation.valid_until == date(2026, 5, 28)
    over = datetime(2026, 5, 29, 0, 0, tzinfo=at.tzinfo)
    for when, code in ((over - timedelta(seconds=1), ""), (over, "expired")):
        found = queries.open_link(token, when)
        assert found is not None
        assert found.shut == code
    with pytest.raises(ServiceError, match="no longer holds"):
        accept(token, over)

    new = services.revise_variation(variation_id=variation.pk, by=None, at=at)
    assert accept_is_open(token, at)  # until the replacement is sent
    send(new)
    with pytest.raises(ServiceError, match="A newer variation replaced this one"):
        accept(token, at)
    services.withdraw_variation(variation_id=new.pk, by=None, at=at)
    with pytest.raises(ServiceError, match="was withdrawn"):
        accept(link_made(new), at)
    assert [v.label for v in queries.variations_of(agreed.world.job)] == ["V1", "V2"]


def accept_is_open(token: str, at: datetime) -> bool:
    found = queries.open_link(token, at)
    return found is not None and not found.shut


def link_made(variation: Variation) -> str:
    with transaction.atomic():
        _, token = new_link(
            VariationLink, valid_until=variation.valid_until, at=AT, variation=variation
        )
    return token


def test_a_decline_says_why_and_shuts_the_link(at: datetime) -> None:
    variation, token = make_out()
    with pytest.raises(ServiceError, match="in a few words why"):
        services.decline(token=token, reason=" ", at=at)

    services.decline(token=token, reason="Too dear", at=at)
    services.decline(token=token, reason="Too dear", at=at)

    assert Variation.objects.get(pk=variation.pk).decline_reason == "Too dear"
    message = Message.objects.get(occasion=f"variation-declined:{variation.pk}")
    assert "Too dear" in message.body
    with pytest.raises(ServiceError, match="was declined"):
        accept(token, at)


def test_a_no_by_telephone_is_recorded_with_its_reason(office: Any, at: datetime) -> None:
    variation, token = make_out()
    values: dict[str, Any] = {"variation_id": variation.pk, "by": office, "at": at}
    with pytest.raises(ServiceError, match="in a few words why"):
        services.record_decline(**values, reason=" ")

    for _ in range(2):
        found = services.record_decline(**values, reason="Too dear")

    assert (found.state, found.decline_reason) == ("declined", "Too dear")
    assert Event.objects.get(verb="variation declined").by == office
    with pytest.raises(ServiceError, match="was declined"):
        accept(token, at)
    done, key = make_out()
    accept(key, at)
    with pytest.raises(ServiceError, match="waits for its answer"):
        services.record_decline(**values | {"variation_id": done.pk}, reason="Too dear")


def test_paper_is_attached_and_accepted_once(office: Any, at: datetime) -> None:
    variation, token = make_out()
    values: dict[str, Any] = {
        "variation_id": variation.pk, "name": "B. Builder", "consents": YES,
        "kept": keep_file(data=b"%PDF-1.7 signed", name="signed.pdf"), "by": office, "at": at,
    }  # fmt: skip

    done = services.record_paper(**values)

    assert (done.answered_by, done.recorded_by) == ("paper", office)
    assert done.paper_uid is not None
    assert done.signed_day == at.date()
    with pytest.raises(ServiceError, match="accepted already"):
        services.record_paper(**values)
    assert accept(token, at) == done


def test_days_to_cancel_a_change_count_from_the_day_on_its_paper(office: Any, at: datetime) -> None:
    variation, _ = make_out()
    values: dict[str, Any] = {
        "variation_id": variation.pk, "name": "A. Householder", "consents": YES, "by": office,
        "kept": keep_file(data=b"%PDF-1.7 signed", name="signed.pdf"),
        "at": at + timedelta(days=6),
    }  # fmt: skip
    with pytest.raises(ServiceError, match="It was sent on Thu 14 May 2026"):
        services.record_paper(**values, signed_on=date(2026, 5, 13))

    done = services.record_paper(**values, signed_on=date(2026, 5, 15))

    assert done.signed_on == date(2026, 5, 15)
    body = Message.objects.get(occasion=f"variation-accepted:{variation.pk}:customer").body
    assert "You may cancel this change until Fri 29 May 2026" in body


def test_only_an_accepted_quote_of_an_open_job_is_varied(at: datetime) -> None:
    from tests.quotes.acceptance.world import make_sent

    sent = make_sent()
    with pytest.raises(ServiceError, match="Only an accepted quote"):
        services.start_variation(
            job_id=sent.world.job.pk, title="A step", words="", by=None, at=at
        )  # fmt: skip


def test_an_empty_one_does_not_go(at: datetime) -> None:
    draft = make_agreed().start()

    with pytest.raises(ServiceError, match="Nothing changes yet"):
        send(draft)


def test_a_sent_one_is_frozen_and_a_signature_cannot_be_changed(at: datetime) -> None:
    variation, token = make_out()
    with pytest.raises(ServiceError, match="is frozen"):
        services.change_variation(variation_id=variation.pk, values={}, by=None, at=at)
    with pytest.raises(ServiceError, match="is frozen"):
        add(variation, "free", "1", words="x", fixed=Decimal(1))
    answer = accept(token, at)

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        VariationAnswer.objects.filter(pk=answer.pk).update(name="Somebody else")
