"""A variation is drawn and mailed once, and what is over does not leave."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from jobs.attachments.services import keep_file
from jobs.kernel.errors import ServiceError
from jobs.kernel.models import TaskRun
from jobs.outbox.models import Message
from jobs.outbox.services import send_message
from quotes.variations import panels, services, tasks
from quotes.variations.models import Variation, VariationLink
from tests.quotes.variations.test_services import accept_is_open, add, link_to, send
from tests.quotes.variations.world import PDF, make_agreed

pytestmark = pytest.mark.django_db


def test_the_worker_draws_once_and_mails_once() -> None:
    agreed = make_agreed()
    draft = agreed.start()
    add(draft, "free", "1", words="Step", fixed=Decimal("100.00"))
    send(Variation.objects.get(pk=draft.pk))

    tasks.sweep()
    tasks.sweep()
    assert not tasks.draw_one(draft.pk)

    variation = Variation.objects.get(pk=draft.pk)
    assert variation.pdf_digest
    message = Message.objects.get(occasion=f"variation:{variation.pk}")
    assert message.attachments == [str(variation.pdf_uid)]
    assert VariationLink.objects.filter(variation=variation).count() == 1
    runs = TaskRun.objects.filter(name="quotes.variations.sweep").order_by("pk")
    assert [run.outcome for run in runs] == ["1 drawn, 1 mailed", "0 drawn, 0 mailed"]


def test_a_new_link_withdraws_the_old_and_holds_back_its_message(at: datetime) -> None:
    agreed = make_agreed()
    draft = agreed.start()
    add(draft, "free", "1", words="Step", fixed=Decimal("100.00"))
    with pytest.raises(ServiceError, match="waits for its answer"):
        services.send_link_again(variation_id=draft.pk, by=None, at=at)
    sent = send(Variation.objects.get(pk=draft.pk))
    with pytest.raises(ServiceError, match="not drawn yet"):
        services.send_link_again(variation_id=sent.pk, by=None, at=at)
    old = link_to(sent)

    services.send_link_again(variation_id=sent.pk, by=None, at=at)

    first = Message.objects.get(occasion=f"variation:{sent.pk}")
    second = Message.objects.get(occasion=f"variation:{sent.pk}:1")
    assert [send_message(message_id=each.pk, at=at) for each in (first, second)] == [False, True]
    first.refresh_from_db()
    assert (first.state, "withdrawn" in first.last_error) == ("dropped", True)
    assert not accept_is_open(old, at)
    assert accept_is_open(second.body.split("/variations/answer/")[1].split("/")[0], at)
    with pytest.raises(ServiceError, match="day is over"):
        services.send_link_again(variation_id=sent.pk, by=None, at=at + timedelta(days=15))


def test_one_that_was_withdrawn_before_it_left_is_not_mailed(at: datetime) -> None:
    agreed = make_agreed()
    draft = agreed.start()
    add(draft, "free", "1", words="Step", fixed=Decimal("100.00"))
    link_to(send(Variation.objects.get(pk=draft.pk)))
    services.withdraw_variation(variation_id=draft.pk, by=None, at=at)

    message = Message.objects.get(occasion=f"variation:{draft.pk}")

    assert not send_message(message_id=message.pk, at=at)


def test_today_says_what_could_not_be_drawn_until_it_is(at: datetime, owner: Any) -> None:
    agreed = make_agreed()
    draft = agreed.start()
    add(draft, "free", "1", words="Step", fixed=Decimal("100.00"))
    send(Variation.objects.get(pk=draft.pk))
    assert services.claim_drawing(variation_id=draft.pk, at=at) is not None
    services.fail_drawing(variation_id=draft.pk, error="OSError: no space left", at=at)

    (entry,) = panels.not_drawn(owner, at)
    assert ("has not gone to the customer" in entry.title, entry.level) == (True, "stop")
    assert "no space left" in entry.why

    services.keep_pdf(variation_id=draft.pk, kept=keep_file(data=PDF, name="v.pdf"), at=at)
    assert list(panels.not_drawn(owner, at)) == []
