"""A claim from its deadline to the credit: what is refused, what today asks, the pages."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.kernel import clock
from jobs.kernel.clock import at_wall
from jobs.kernel.errors import ServiceError
from stock.claims.models import Claim
from stock.claims.panels import claims_to_ask_after, claims_to_open, claims_to_tell
from stock.claims.queries import claimable_lines, worth_of
from stock.claims.rules import left_words, notify_level
from stock.claims.services import (
    close_claim,
    notify_claim,
    record_answer,
    record_credit,
    reopen_claim,
)
from stock.ordering.services import undo_goods_in
from tests.jobs.attachments.files import photo
from tests.stock.claims.world import answered, claim, delivery, told
from tests.stock.ordering.services.test_goods_in import LATER
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db
LAST_DAY = date(2026, 5, 19)


def credit(found: Claim, amount: str, **fields: Any) -> Claim:
    values: dict[str, Any] = {
        "credit_on": LATER.date(), "reference": "", "key": uuid4(), "by": None, "at": LATER,
    }  # fmt: skip
    return record_credit(claim_id=found.pk, amount=Decimal(amount), **values | fields)


# -- opening ---------------------------------------------------------------------------------------


def test_short_refused_and_held_goods_are_claimed_for_by_the_carriers_day() -> None:
    goods_in = delivery()
    lines = claimable_lines(goods_in)
    assert [line.outcome for line in lines] == ["held", "refused", "short"]
    assert worth_of(lines) == Decimal("33.60")  # 4 × 8.40, by hand
    found = claim(goods_in)
    assert (found.notify_by, found.state, found.reference[:3]) == (LAST_DAY, "open", "CL-")
    assert claimable_lines(goods_in) == []


def test_good_goods_another_deliverys_and_what_is_claimed_for_are_refused() -> None:
    goods_in = delivery()
    good = goods_in.lines.get(outcome="good").pk
    other = delivery().lines.get(outcome="short").pk
    claim(goods_in)
    for lines in ([good], [other], [goods_in.lines.get(outcome="short").pk], []):
        with pytest.raises(ServiceError) as refusal:
            claim(goods_in, line_ids=lines)
        assert refusal.value.field == "lines"
    assert Claim.objects.count() == 1


def test_one_key_opens_one_claim() -> None:
    goods_in, key = delivery(), uuid4()
    assert claim(goods_in, key=key) == claim(goods_in, key=key)
    with pytest.raises(ServiceError):
        claim(delivery(), key=key)


def test_nothing_is_claimed_for_a_delivery_that_was_undone() -> None:
    goods_in = delivery()
    undo_goods_in(goods_in_id=goods_in.pk, reason="twice", key=uuid4(), by=None, at=LATER)
    with pytest.raises(ServiceError):
        claim(goods_in)


# -- step by step ----------------------------------------------------------------------------------


def test_the_whole_way_to_the_last_penny() -> None:
    found = answered()
    assert found.state == "answered"
    key = uuid4()
    for _ in range(2):
        found = credit(found, "20.00", key=key, reference="CN-1")
    assert (found.credit_received, found.difference) == (Decimal("20.00"), Decimal("13.60"))
    found = credit(found, "13.60", reference="CN-2")
    assert (found.credit_reference, found.credit_words) == ("CN-1, CN-2", "all of it came")
    found = close_claim(claim_id=found.pk, words="", by=None, at=LATER)
    assert found.state == "closed"


def test_a_claim_that_brought_less_is_closed_with_words() -> None:
    found = credit(answered(), "20.00")
    with pytest.raises(ServiceError) as refusal:
        close_claim(claim_id=found.pk, words=" ", by=None, at=LATER)
    assert refusal.value.message.startswith("£13.60 still to come.")
    assert close_claim(claim_id=found.pk, words="written off", by=None, at=LATER).closed_at


def test_a_refusal_says_why_and_leaves_nothing_to_come() -> None:
    with pytest.raises(ServiceError):
        answered(answer="refused", credit_expected=None)
    found = answered(answer="refused", words="signed for as sound", credit_expected=None)
    assert (found.credit_expected, found.difference) == (Decimal(0), Decimal(0))


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"told_at": LATER + timedelta(minutes=1)}, "told_at"),
        ({"told_at": LATER - timedelta(days=1)}, "told_at"),
        ({"words": " "}, "words"),
    ],
)  # fmt: skip
def test_they_are_told_once_the_goods_came_and_not_in_future(
    fields: dict[str, Any], field: str
) -> None:
    values: dict[str, Any] = {"how": "email", "words": "x", "told_at": LATER} | fields
    with pytest.raises(ServiceError) as refusal:
        notify_claim(claim_id=claim().pk, by=None, at=LATER, **values)
    assert refusal.value.field == field


@pytest.mark.parametrize("days", [-1, 1])
def test_an_answer_comes_after_they_were_told_and_not_in_future(days: int) -> None:
    with pytest.raises(ServiceError):
        answered(answered_on=LATER.date() + timedelta(days=days))


def test_nobody_answers_before_being_told() -> None:
    found = claim()
    with pytest.raises(ServiceError):
        record_answer(
            claim_id=found.pk, answer="accepted", answered_on=LATER.date(), words="",
            credit_expected=None, by=None, at=LATER,
        )  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        Claim.objects.filter(pk=found.pk).update(answer="accepted", answered_on=LATER.date())


def test_a_closed_claim_takes_no_step_until_it_is_opened_again() -> None:
    found = answered()
    close_claim(claim_id=found.pk, words="withdrawn", by=None, at=LATER)
    with pytest.raises(ServiceError) as refusal:
        credit(found, "1.00")
    assert refusal.value.code == "closed"
    reopen_claim(claim_id=found.pk, by=None, at=LATER)
    assert credit(found, "1.00").state == "answered"


# -- rules and today -------------------------------------------------------------------------------


def test_the_deadline_presses_from_its_eve_on() -> None:
    assert notify_level(LAST_DAY, date(2026, 5, 17)) == "look"
    assert {notify_level(LAST_DAY, date(2026, 5, day)) for day in (18, 19, 25)} == {"stop"}


def test_a_credit_in_words() -> None:
    assert left_words(None, Decimal(0)) == "nothing was named yet"
    assert left_words(Decimal(5), Decimal(7)) == "£2 more came than was expected"


def test_today_asks_for_a_claim_while_there_is_time_and_then_no_more(storeman: Any) -> None:
    delivery()
    (one,) = claims_to_open(storeman, LATER)
    assert one.at == at_wall(LAST_DAY, time(16, 0))
    assert list(claims_to_open(storeman, LATER + timedelta(days=2))) == []


def test_today_asks_that_they_are_told_also_when_it_is_late(storeman: Any) -> None:
    found = claim()
    assert list(claims_to_open(storeman, LATER)) == []
    (one,) = claims_to_tell(storeman, LATER)
    assert (one.at, one.level) == (at_wall(LAST_DAY, time(16, 0)), "stop")
    (late,) = claims_to_tell(storeman, LATER + timedelta(days=3))
    assert (late.at, late.clock_note) == (None, "the day is past")
    notify_claim(
        claim_id=found.pk, how="email", words="x", told_at=LATER, by=None, at=LATER
    )  # fmt: skip
    assert list(claims_to_tell(storeman, LATER)) == []


def test_today_asks_after_answer_and_credit(storeman: Any) -> None:
    def titles(at: datetime) -> list[str]:
        return [entry.title for entry in claims_to_ask_after(storeman, at)]

    found = told()
    assert titles(LATER + timedelta(days=14)) == []
    assert titles(LATER + timedelta(days=15)) == [f"No answer to {found}"]
    found = answered()
    assert titles(LATER + timedelta(days=14)) == []
    month = LATER + timedelta(days=31)
    assert f"The credit of {found} is still to come" in titles(month)
    credit(found, "33.60")
    assert f"The credit of {found} is still to come" not in titles(month)


# -- pages -----------------------------------------------------------------------------------------


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: LATER)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        claim()
    # session, user, 2 of permissions; suppliers of the filter, count, rows, 2 totals
    assert queries_of(client_for(storeman), reverse("claims:list")) == 9


def test_a_claim_is_opened_from_the_delivery_with_a_photo(
    later: None, client_for: Any, storeman: Any
) -> None:
    client, goods_in = client_for(storeman), delivery()
    url = reverse("claims:open", args=[goods_in.pk])
    assert url in client.get(goods_in.get_absolute_url()).content.decode()
    page = client.get(url)
    assert page.context["form"]["credit_expected"].initial == Decimal("33.60")
    lines = [line.pk for line in claimable_lines(goods_in)]
    form = {
        "uid": uuid4(), "lines": lines, "against": "carrier", "what": "wet bags",
        "credit_expected": "33.60", "file": SimpleUploadedFile("a.jpg", photo(), "image/jpeg"),
    }  # fmt: skip
    answer = client.post(url, form)
    found = Claim.objects.get()
    assert answer["Location"] == found.get_absolute_url()
    assert attachments_of(found).count() == 1
    page = client.get(found.get_absolute_url()).content.decode()
    assert "Tue 19 May 2026" in page
    assert str(found) in client.get(goods_in.order.get_absolute_url()).content.decode()
    assert client.get(url).status_code == 404


def test_the_steps_are_taken_on_its_page(later: None, client_for: Any, office: Any) -> None:
    client, found = client_for(office), claim()

    def step(name: str, **form: Any) -> int:
        return int(client.post(reverse(f"claims:{name}", args=[found.pk]), form).status_code)

    told_at = LATER.strftime("%Y-%m-%dT%H:%M")
    assert client.get(reverse("claims:answer", args=[found.pk])).status_code == 404
    assert step("notify", how="pigeon", told_at=told_at, words="x") == 422
    assert step("notify", how="telephone", told_at=told_at, words="to the depot") == 302
    assert step("answer", answer="partly", answered_on="2026-05-18", credit_expected="20") == 302
    assert step("credit", uid=uuid4(), amount="-1", credit_on="2026-05-18") == 422
    assert step("credit", uid=uuid4(), amount="15.00", credit_on="2026-05-18") == 302
    assert step("close", words="") == 422
    assert step("close", words="they gave no more") == 302
    page = client.get(found.get_absolute_url()).content.decode()
    for words in ("to the depot", "accepted in part", "£15.00", "they gave no more"):
        assert words in page


def test_the_list_is_searched_and_filtered_by_how_they_stand(
    client_for: Any, accountant: Any
) -> None:
    first, second = claim(), answered()
    client = client_for(accountant)

    def found(**query: str) -> list[Claim]:
        table = client.get(reverse("claims:list"), query).context["table"]
        return [row.record for row in table.rows]

    assert found(state="open") == [first]
    assert found(state="answered") == [second]
    assert found(q=second.reference) == [second]
    assert found(state="moon") == []
