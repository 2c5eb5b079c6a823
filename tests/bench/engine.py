"""What the materials engine takes: time, memory, import."""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

from quotes.engine.document import answer_request, answer_text
from quotes.engine.parse import parse_request
from quotes.engine.yieldlearn import BayRecord, Group, Prior, card_prior, learn
from tests.bench.clock import AbsentError, median_ms
from tests.bench.documents import six_areas

ROOT = Path(__file__).resolve().parents[2]
BLENDS = ("buff", "slate", "amber", "brine")
BASES = ("concrete", "tarmac", "open-graded tarmac")
CREWS = ("first", "second", "third")


def parsed() -> float:
    request = parse_request(six_areas())
    return median_ms(lambda: answer_request(request), 400)


def parsed_in_sessions() -> float:
    """The same areas, each laid in a session of its own: the chances are then joint ones."""
    document = six_areas()
    for number, each in enumerate(document["areas"]):
        each["session"] = f"day {number}"
    request = parse_request(document)
    return median_ms(lambda: answer_request(request), 400)


def from_text() -> float:
    text = json.dumps(six_areas())
    return median_ms(lambda: answer_text(text), 200)


def resident_mib() -> float:
    """Return how much memory the process holds now, not its peak."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError as error:
        raise AbsentError("memory is read from /proc, which this system has not") from error
    return pages * 4096 / 2**20


@cache
def long_run() -> tuple[float, float]:
    """Return seconds for 10,000 take-offs, and the growth in MiB after the first thousand."""
    requests = [parse_request(six_areas(n)) for n in range(97)]
    begun = time.perf_counter()
    for n in range(1000):
        answer_request(requests[n % 97])
    early = resident_mib()
    for n in range(1000, 10_000):
        answer_request(requests[n % 97])
    return time.perf_counter() - begun, resident_mib() - early


def ten_thousand() -> float:
    return long_run()[0]


def memory_growth() -> float:
    return long_run()[1]


def import_ms(module: str) -> float:
    """Return the time of one import in a new process, in ms."""
    program = (
        "import time; begun = time.perf_counter()\n"
        f"import {module}\n"
        "print((time.perf_counter() - begun) * 1000)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return float(done.stdout)


def import_beyond_pint() -> float:
    """Turn about, so that a busy moment meets both."""
    pairs = [(import_ms("quotes.engine.document"), import_ms("pint")) for _ in range(9)]
    engine, pint = (statistics.median(column) for column in zip(*pairs, strict=True))
    return float(engine - pint)


def batch_logs(count: int) -> tuple[list[BayRecord], dict[Group, Prior]]:
    """Return records of `count` bays and the priors of their groups; the same each time."""
    draw = random.Random(7)
    records = []
    for _ in range(count):
        area, depth = draw.uniform(2, 9), draw.choice((15.0, 18.0, 20.0, 24.0))
        kg = area * depth * draw.gauss(1.78, 0.08)
        group = draw.choice(BLENDS), draw.choice(BASES)
        records.append(BayRecord(*group, draw.choice(CREWS), kg, area, depth))
    return records, {(blend, base): card_prior(1778) for blend in BLENDS for base in BASES}


def learn_from_logs() -> float:
    records, priors = batch_logs(10_000)
    return median_ms(lambda: learn(records, priors), 9)
