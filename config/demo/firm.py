"""Loading the demo firm: people, prices and yard first, then all stories by the clock."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from datetime import date, datetime

from celery import current_app
from django.db.models import F

from config.demo.climate import load_climate
from config.demo.incidents import load_incidents
from config.demo.lately import load_lately
from config.demo.prices import load_prices
from config.demo.staff import LOG_INS, PASSWORD, load_leave, load_staff
from config.demo.steps import tell
from config.demo.stories import STORIES
from config.demo.trades import load_trades
from config.demo.world import World
from config.demo.yard import load_yard, stock_up
from jobs.accounts.models import User
from jobs.billing.queries import due_papers
from jobs.billing.tasks import draw_one
from jobs.calendar.queries import firm_calendar
from jobs.calendar.services import sweep_findings
from jobs.customers.models import Customer
from jobs.kernel.appendonly import install_triggers, remove_triggers
from jobs.kernel.backup import backed_up_models
from jobs.kernel.models import NumberSeries
from jobs.outbox.enums import MessageState
from jobs.outbox.models import Message
from quotes.documents.queries import due_renderings, sent_without_drawing
from quotes.documents.services import ask_rendering
from quotes.documents.tasks import render_one

__all__ = ["LOG_INS", "PASSWORD", "demo_state", "load_firm"]
MARK = "demo firm"
NEWEST = 4  # the worker draws the older ones by and by


def demo_state() -> str:
    """Return 'empty', 'demo' for a loaded demo, 'half' for one that broke off, else 'other'."""
    mark = NumberSeries.objects.filter(name=MARK).first()
    if mark is not None:
        return "demo" if mark.last else "half"
    return "other" if User.objects.exists() or Customer.objects.exists() else "empty"


def load_firm(*, on: date) -> None:
    """Load the firm as it stands at half past six on the day `on`; the same figures every time."""
    NumberSeries.objects.create(name=MARK)
    world = World(on=on, calendar=firm_calendar())
    load_staff(world)
    load_yard(world)
    load_prices(world)
    stock_up(world)
    run_by_the_clock(
        [tell(world, story, number) for number, story in enumerate(STORIES)], world.limit
    )
    load_leave(world)
    load_climate(world)
    load_incidents(world)
    load_lately(world)
    load_trades(world)
    draw_papers(world)
    settle_messages()
    sweep_findings(at=world.limit)
    NumberSeries.objects.filter(name=MARK).update(last=F("last") + 1)


def run_by_the_clock(stories: list[Iterator[datetime]], limit: datetime) -> None:
    """Run every story's steps in the order of their moments, up to `limit`."""
    queue: list[tuple[datetime, int]] = []
    for number, story in enumerate(stories):
        moment = next(story, None)
        if moment is not None:
            heapq.heappush(queue, (moment, number))
    while queue:
        moment, number = heapq.heappop(queue)
        if moment > limit:
            continue
        following = next(stories[number], None)
        if following is not None:
            # A story's clock never runs backwards, whatever its days say.
            heapq.heappush(queue, (max(following, moment), number))


def draw_papers(world: World) -> None:
    """Draw the PDFs of the quotes that were sent, and of the newest invoices."""
    for revision_id in sent_without_drawing():
        ask_rendering(revision_id=revision_id, at=world.limit)
    for rendering_id in due_renderings(world.limit):
        render_one(rendering_id)
    for paper_id in due_papers(world.limit)[-NEWEST:]:
        draw_one(paper_id)


def settle_messages() -> None:
    """What was written in the past has gone out; the bells of loading are not rung."""
    Message.objects.filter(state=MessageState.DUE).update(
        state=MessageState.SENT, sent_at=F("created_at")
    )
    current_app.control.purge()


def clear_half() -> None:
    """Empty a database in which loading the demo broke off, so that it can be loaded again."""
    remove_triggers()
    try:
        for model in reversed(backed_up_models()):
            if model._meta.app_label in {"jobs", "stock", "quotes"}:
                model._base_manager.all()._raw_delete(using="default")  # noqa: SLF001
    finally:
        install_triggers()
