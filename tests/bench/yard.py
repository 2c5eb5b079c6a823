"""The yard at speed, on a PostgreSQL of the bench's own with fsync on."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from statistics import median

from stock.allocation.rules.exact import exact_plan
from stock.allocation.rules.joint import given, judge
from tests.bench import postgres
from tests.bench.gate import open_for
from tests.stock.allocation.planted import FOLDER, SIZES, read

CLIENTS, JOBS, TURNS = 16, 800, 1
REQUESTS = 60
FLOOR = """
import json, sys, time
import psycopg
from tests.bench.gate import wait_at
conninfo, path, part, parts, gate = sys.argv[1:]
work = json.load(open(path, encoding="utf-8"))[int(part)::int(parts)]
with psycopg.connect(conninfo, autocommit=True) as connection:
    def run(statements):
        with connection.transaction():
            for sql in statements:
                cursor = connection.execute(sql)
                if cursor.description:
                    cursor.fetchall()
    run(work[0])
    wait_at(gate, part)
    begun = time.time()
    for statements in work[1:]:
        run(statements)
    print(json.dumps({"begun": begun, "ended": time.time(), "count": len(work) - 1}))
"""


def say(words: str) -> None:
    sys.stdout.write(f"  {words}\n")


# -- reservations ----------------------------------------------------------------------------------


def rate(answers: list[dict[str, float]]) -> float:
    """Return how many a second all clients did together, from the first start to the last end."""
    took = max(a["ended"] for a in answers) - min(a["begun"] for a in answers)
    return sum(a["count"] for a in answers) / took


def all_at_once(client: Callable[[int, str], dict[str, float]]) -> float:
    """Run the clients, each in a process of its own, from one gate; return their rate."""
    folder = tempfile.TemporaryDirectory(prefix="resinwright-gate-")
    with folder as gate, ThreadPoolExecutor(CLIENTS + 1) as pool:
        opened = pool.submit(open_for, gate, CLIENTS)
        parts = [pool.submit(client, number, gate) for number in range(CLIENTS)]
        answers = [part.result() for part in parts]
        opened.result()
    return rate(answers)


def service_rate() -> float:
    """Return reservations a second by the service, in 16 processes, each on jobs of its own."""
    address = postgres.database("served", template="jobs")

    def client(part: int, gate: str) -> dict[str, float]:
        answer: dict[str, float] = postgres.django(address, "reserve_part", part, CLIENTS, gate)
        return answer

    return all_at_once(client)


def floor_rate(statements: Path) -> float:
    """Return the same by psycopg alone: the very statements that the service sent, job by job."""
    postgres.database("floor", template="jobs")

    def client(part: int, gate: str) -> dict[str, float]:
        done = subprocess.run(
            [sys.executable, "-c", FLOOR, postgres.conninfo("floor"), str(statements), str(part),
             str(CLIENTS), gate],
            cwd=postgres.ROOT, capture_output=True, text=True, check=False,
        )  # fmt: skip
        if done.returncode:
            raise RuntimeError(done.stderr[-2000:])
        answer: dict[str, float] = json.loads(done.stdout)
        return answer

    return all_at_once(client)


def reservation_share() -> float:
    """Return the service's rate as a share of the floor's, turn about, the best of each."""
    made = postgres.database("jobs")
    postgres.django(made, "make_tables")
    postgres.django(made, "fill_reservations", JOBS)
    with tempfile.TemporaryDirectory(prefix="resinwright-bench-") as name:
        statements = Path(name) / "statements.json"
        shown = postgres.database("captured", template="jobs")
        count = postgres.django(shown, "capture_reservations", statements)
        pairs = [(service_rate(), floor_rate(statements)) for _ in range(TURNS)]
    ours, floor = (max(column) for column in zip(*pairs, strict=True))
    say(f"the service {ours:.0f} reservations a second, psycopg alone {floor:.0f}, fsync on;")
    say(f"{CLIENTS} processes, {count / JOBS:.1f} statements a reservation, the same on both sides")
    return float(ours / floor)


# -- years -----------------------------------------------------------------------------------------


@cache
def filled(years: int) -> str:
    address = postgres.database(f"years{years}")
    postgres.django(address, "make_tables")
    made = postgres.django(address, "fill_years", years)
    say(f"{years} year(s): {made['movements']:,} movements, {made['by_services']:,} of them made "
        "by the services and equal to those loaded")  # fmt: skip
    return address


@cache
def page_times() -> dict[str, tuple[float, float, int]]:
    """Return of each page the median ms at one year and at ten, and its queries at ten.

    Request by request, now one side and now the other, so that a mood of the machine meets both.
    """
    found = {}
    one, ten = filled(1), filled(10)
    with postgres.Talk(one, "time_pages") as young, postgres.Talk(ten, "time_pages") as old:
        for name, queries in old.first.items():
            pairs = [(young.ask(name), old.ask(name)) for _ in range(REQUESTS)]
            found[name] = (*map(median, zip(*pairs, strict=True)), queries)
    return found


def page_share() -> float:
    """Return the worst page's time at one year over its time at ten."""
    for name, (young, old, queries) in page_times().items():
        say(f"{name}: {young:.1f} ms at one year, {old:.1f} ms at ten, {queries} queries")
    return min(young / old for young, old, _ in page_times().values())


def page_queries() -> float:
    """Return the most queries of a page at ten years, beyond session and user."""
    return float(max(queries for _, _, queries in page_times().values()))


def audit_share() -> float:
    """Return the bare sums' time over the audit's, of ten years."""
    found = postgres.django(filled(10), "time_audit", 3)
    say(f"audit of {found['movements']:,} movements {found['audit']:.2f} s, its {found['sums']} "
        f"sums by SQL alone {found['bare']:.2f} s, {found['unfetched']:.2f} s where their rows "
        "stay in the database")  # fmt: skip
    return float(found["bare"] / found["audit"])


# -- allocation ------------------------------------------------------------------------------------


def exact_seconds() -> float:
    """Return the longest time of the instances with 60 jobs and 400 lots, to the proven best."""
    times = []
    for size in SIZES:
        problem, best = read(FOLDER / f"{size.name}.json")
        begun = time.perf_counter()
        exact = exact_plan(problem)
        if size.lots == 400:
            times.append(time.perf_counter() - begun)
        if judge(problem, given(exact.plan)) != best or not exact.proven:
            raise AssertionError(f"{size.name}: the best was not reached in time.")
    return max(times)
