"""What the yard's measures do inside Django, each in a process of its own; prints JSON.

Long because: filling, serving and measuring share the database they are run on.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import django
from django.conf import settings

if __name__ == "__main__":
    django.setup()

from django.core.management import call_command
from django.db import connection, reset_queries, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.bench import yard_rows as rows
from tests.bench.gate import wait_at
from tests.bench.yard_rows import World
from tests.bench.yard_sums import SUMS

WORK: dict[str, Callable[..., Any]] = {}


def work(function: Callable[..., Any]) -> Callable[..., Any]:
    WORK[function.__name__] = function
    return function


class FromModels:
    """The tables as the models are, as the suite may make them too."""

    def __contains__(self, _: str) -> bool:
        return True

    def __getitem__(self, _: str) -> None:
        return None


@work
def make_tables() -> None:
    settings.MIGRATION_MODULES = FromModels()
    call_command("migrate", run_syncdb=True, verbosity=0)


# -- reservations ----------------------------------------------------------------------------------

ITEMS, LOTS_AN_ITEM, KITS = 24, 4, 3


@work
def fill_reservations(count: int) -> None:
    """Jobs that want three kits each of one of some items, and lots with plenty."""
    with transaction.atomic():
        make_jobs(int(count))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def make_jobs(count: int) -> None:
    from tests import factories as make

    bay, site, crew = make.make_place(), make.make_site(), make.make_crew()
    kits = [make.make_kit() for _ in range(ITEMS)]
    for kit in kits:
        for _ in range(LOTS_AN_ITEM):
            late = make.DAY + timedelta(days=10 + 2 * count)
            make.make_lot(kit, count * KITS, place=bay, expiry=late)
    for number in range(count):
        job = make.make_job(site, stage="won")
        make.make_requirement(job, kits[number % ITEMS], KITS)
        make.make_booking(job, day=make.DAY + timedelta(days=10 + number), crew=crew)


def job_ids() -> list[int]:
    from jobs.work.models import Job

    return list(Job.objects.filter(stage="won").order_by("pk").values_list("pk", flat=True))


@work
def reserve_part(part: int, parts: int, gate: str) -> dict[str, float]:
    """Reserve for every so many'th job, once all clients stand at the gate."""
    from stock.allocation.services import reserve_job
    from tests.factories import AT

    mine = job_ids()[int(part) :: int(parts)]
    reserve_job(job_id=mine[0], by=None, at=AT)  # what is loaded once is not timed
    wait_at(gate, part)
    begun = time.time()
    for job_id in mine[1:]:
        reserve_job(job_id=job_id, by=None, at=AT)
    return {"begun": begun, "ended": time.time(), "count": len(mine) - 1}


@work
def capture_reservations(path: str) -> int:
    """Write down the statements of every reservation, job after job, as the service sends them."""
    from stock.allocation.services import reserve_job
    from tests.factories import AT

    found = []
    for job_id in job_ids():
        reset_queries()  # what is kept of them is not without end
        with CaptureQueriesContext(connection) as caught:
            reserve_job(job_id=job_id, by=None, at=AT)
        sent = [query["sql"] for query in caught.captured_queries]
        found.append([sql for sql in sent if sql.split()[0] not in {"BEGIN", "COMMIT"}])
    with open(path, "w", encoding="utf-8") as file:  # noqa: PTH123 - a scratch file of the bench
        json.dump(found, file)
    return sum(map(len, found))


# -- years of movements ----------------------------------------------------------------------------


def make_world() -> World:
    from stock.ledger.queries import place
    from tests.factories import make_job, make_kit, make_place, make_site, make_user

    make_user("storeman", email="bench@firm.example")
    site = make_site()
    jobs = [make_job(site, stage="complete") for _ in range(400)]
    return World(
        [make_kit().pk for _ in range(40)], [make_place().pk for _ in range(12)],
        [job.pk for job in jobs], [place("site", job).pk for job in jobs],
        place("supplier").pk, place("laid").pk, place("waste").pk,
    )  # fmt: skip


@work
def fill_years(years: int) -> dict[str, int]:
    """Load years by COPY with the append-only triggers in force; make some by the services too."""
    from jobs.kernel.appendonly import missing_triggers
    from stock.ledger.models import Movement

    years = int(years)
    assert missing_triggers() == []
    world = make_world()
    groups = rows.LOTS_A_YEAR * years // rows.TOGETHER
    copy_lots(world, groups, years)
    copy_movements(world, groups, years)
    for table in ("stock_lot", "stock_posting", "stock_movement", "stock_balance",
                  "jobs_costentry"):  # fmt: skip
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table}"  # noqa: S608 - our own names
            )
    by_services = make_by_services(world)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
    assert missing_triggers() == []
    return {"movements": Movement.objects.count(), "by_services": by_services}


def copy(table: str, columns: str, lines: Iterator[tuple[Any, ...]]) -> None:
    with connection.cursor() as cursor, cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as out:
        for line in lines:
            out.write_row(line)


def is_wasted(group: int, groups: int) -> bool:
    return group < groups - rows.IN_YARD // rows.TOGETHER


def copy_lots(world: World, groups: int, years: int) -> None:
    def lots() -> Iterator[tuple[Any, ...]]:
        for number in range(groups * rows.TOGETHER):
            group = number // rows.TOGETHER
            day = rows.day_of(group, groups, 0, years)
            expiry = day + timedelta(days=180)
            left = 0 if is_wasted(group, groups) else rows.BACK * rows.JOBS
            yield (
                number + 1, rows.key_of(group, 900 + number % rows.TOGETHER), f"B-{number + 1:06d}",
                rows.item_of(world, number), "", f"A{number}", expiry, f"B{number}", expiry,
                expiry, "released", "", day, rows.RECEIVED, left, 0, 0,
                rows.RECEIVED * rows.PENNIES, rows.JOBS * rows.LAID,
            )  # fmt: skip

    copy(
        "stock_lot",
        "id, uid, code, item_id, run, batch_a, expiry_a, batch_b, expiry_b, expiry, status, "
        "held_reason, received_on, received, on_hand, at_sites, reserved, cost, costed",
        lots(),
    )


Life = tuple[int, int, int, Any]  # posting, group, step, move


def lives(world: World, groups: int) -> Iterator[Life]:
    """Yield every posting of every group, numbered."""
    posting = 0
    for group in range(groups):
        moves = rows.group_moves(world, group, wasted=is_wasted(group, groups))
        for step, move in enumerate(moves):
            posting += 1
            yield posting, group, step, move


def movement_lines(world: World, groups: int) -> Iterator[tuple[Any, ...]]:
    number = 0
    for posting, group, _, move in lives(world, groups):
        for lot in range(rows.TOGETHER):
            number += 1
            yield (
                number, posting, group * rows.TOGETHER + lot + 1, move.quantity, move.from_place,
                move.to_place, move.pennies,
            )  # fmt: skip


def entry_lines(world: World, groups: int, years: int) -> Iterator[tuple[Any, ...]]:
    number = 0
    for posting, group, step, move in lives(world, groups):
        day = rows.day_of(group, groups, step, years)
        sign = 1 if move.kind == "issue" else -1
        for _ in range(rows.TOGETHER):
            number += 1
            if move.pennies is not None:
                yield (
                    number, move.job, "actual", "materials", "kits", sign * move.quantity, "pc",
                    sign * move.pennies, day, rows.moment(day), "stock.posting", posting,
                    f"stock.movement:{number}",
                )  # fmt: skip


def balance_lines(world: World, groups: int) -> Iterator[tuple[Any, ...]]:
    for group in range(groups):
        bay = world.bays[group % len(world.bays)]
        left = 0 if is_wasted(group, groups) else rows.BACK * rows.JOBS
        sites = {(group * rows.JOBS + n) % len(world.jobs) for n in range(rows.JOBS)}
        for lot in range(rows.TOGETHER):
            number = group * rows.TOGETHER + lot + 1
            yield number, bay, left
            yield from ((number, world.sites[at], 0) for at in sites)


def copy_movements(world: World, groups: int, years: int) -> None:
    """Postings, movements, cost entries and balances, in the order in which they happened."""

    def postings() -> Iterator[tuple[Any, ...]]:
        for posting, group, step, move in lives(world, groups):
            day = rows.day_of(group, groups, step, years)
            key = rows.key_of(group, step)
            yield posting, key, "-", move.kind, move.job, day, rows.moment(day), ""

    copy("stock_posting", "id, key, digest, kind, job_id, day, at, reason", postings())
    copy(
        "stock_movement", "id, posting_id, lot_id, quantity, from_place_id, to_place_id, cost",
        movement_lines(world, groups),
    )  # fmt: skip
    copy(
        "jobs_costentry",
        "id, job_id, kind, category, what, quantity, unit, amount, day, at, source, source_id, key",
        entry_lines(world, groups, years),
    )
    copy("stock_balance", "lot_id, place_id, quantity", balance_lines(world, groups))


def make_by_services(world: World) -> int:
    """Make four groups' lives, 2,000 movements, through the services, and compare with COPY's."""
    from stock.catalogue.models import Item, Place
    from stock.ledger.models import Lot, Movement
    from stock.ledger.services import Row, post_lot, post_movements
    from tests.factories import AT, DAY

    kept: dict[str, Any] = {"day": DAY, "by": None, "at": AT}
    first = Movement.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    for group in range(4):
        moves = list(rows.group_moves(world, group, wasted=True))
        lots = []
        with transaction.atomic():
            for number in range(rows.TOGETHER):
                expiry = DAY + timedelta(days=180)
                lots.append(
                    post_lot(
                        item=Item.objects.get(pk=rows.item_of(world, number)),
                        quantity=rows.RECEIVED, cost=Decimal(rows.RECEIVED), received_on=DAY,
                        place=Place.objects.get(pk=moves[0].to_place), by=None, at=AT,
                        key=rows.key_of(1_000_000 + group, number), expiry_a=expiry,
                        expiry_b=expiry,
                    )
                )  # fmt: skip
        for step, move in enumerate(moves[1:]):
            with transaction.atomic():
                post_movements(
                    key=rows.key_of(2_000_000 + group, step), kind=move.kind, job_id=move.job,
                    rows=[
                        Row(lot.pk, move.quantity, move.from_place, move.to_place) for lot in lots
                    ],
                    **kept,
                )  # fmt: skip
        for number, lot in enumerate(lots):
            same_life(lot, Lot.objects.get(pk=group * rows.TOGETHER + number + 1))
    return Movement.objects.filter(pk__gt=first).count()


def same_life(mine: Any, copied: Any) -> None:
    """Raise where a lot made by the services differs from one that was loaded by COPY."""
    figures = ("on_hand", "at_sites", "reserved", "received", "cost", "costed")
    mine.refresh_from_db()
    for name in figures:
        assert getattr(mine, name) == getattr(copied, name), (name, mine.code, copied.code)
    moves = ("posting__kind", "quantity", "from_place_id", "to_place_id", "cost", "posting__job_id")
    one, other = (list(lot.movements.order_by("pk").values_list(*moves)) for lot in (mine, copied))
    assert one == other, (mine.code, copied.code)
    places = ("place_id", "quantity")
    one, other = (sorted(lot.balances.values_list(*places)) for lot in (mine, copied))
    assert one == other, (mine.code, copied.code)


# -- pages and the audit ---------------------------------------------------------------------------


def storeman() -> Client:
    from jobs.accounts.models import User

    client = Client()
    backend = "allauth.account.auth_backends.AuthenticationBackend"
    client.force_login(User.objects.get(email="bench@firm.example"), backend=backend)
    return client


@work
def time_pages() -> dict[str, int]:
    """Answer each line read, a page's name, with what one request for it took in ms.

    The first line written, and the last, is what each page asked the database, beyond session and
    user.
    """
    from django.urls import reverse

    from stock.ledger.models import Lot

    client = storeman()
    lot = Lot.objects.filter(code__startswith="B-").order_by("-pk").first()
    assert lot is not None
    addresses = {
        "yard": reverse("ledger:list"),
        "yard, all lots": f"{reverse('ledger:list')}?used=all",
        "yard, search": f"{reverse('ledger:list')}?q=B-00&used=all",
        "lot": lot.get_absolute_url(),
        "postings": reverse("movements:list"),
        "needs": reverse("allocation:list"),
        "proposal": reverse("allocation:proposal"),
    }
    settings.ALLOWED_HOSTS = ["*"]
    queries = {}
    for name, address in addresses.items():
        with CaptureQueriesContext(connection) as caught:
            assert client.get(address).status_code == 200, address
        queries[name] = len(caught) - 2  # now: the next request forgets what was caught
        client.get(address)
    sys.stdout.write(json.dumps(queries) + "\n")
    sys.stdout.flush()
    for line in sys.stdin:
        taken = timed(partial(client.get, addresses[line.strip()])) * 1000
        sys.stdout.write(json.dumps(taken) + "\n")
        sys.stdout.flush()
    return queries


@work
def time_audit(turns: int) -> dict[str, float]:
    """Return the audit's best time, and that of its bare sums fetched by SQL alone."""
    from stock.movements.queries import audit_stock

    audit = audit_stock()
    assert audit.ok, audit.differences[:5]

    def bare() -> None:
        with connection.cursor() as cursor:
            for sql in SUMS:
                cursor.execute(sql)
                cursor.fetchall()

    def in_the_database() -> None:
        with connection.cursor() as cursor:
            for sql in SUMS:
                cursor.execute(f"SELECT COUNT(*) FROM ({sql}) AS rows")  # noqa: S608 - our own text
                cursor.fetchall()

    bare()  # what is read from disk once is not timed
    taken = [tuple(map(timed, (audit_stock, bare, in_the_database))) for _ in range(int(turns))]
    best, fetched, unfetched = map(min, zip(*taken, strict=True))
    return {
        "audit": best, "bare": fetched, "unfetched": unfetched, "movements": audit.movements,
        "sums": len(SUMS),
    }  # fmt: skip


def timed(what: Callable[[], object]) -> float:
    begun = time.perf_counter()
    what()
    return time.perf_counter() - begun


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    sys.stdout.write(json.dumps(WORK[sys.argv[1]](*sys.argv[2:])) + "\n")
