"""Joint problems whose best score is known by how they are made, and their files.

A plan is planted first: every need is met from the lots that are made for it, every dying lot is
used up, and everything reserved stays. Then comes what no plan can help: reservations on lots that
were held since (each must move), kits that die before any job may use them (lost), surfaces whose
run is used up (unmet and split). So the best score is the sum of just those. Some instances have
kits that die unless a plan looks beyond first expired first: what may stand in dies while the item
itself lives on, or of two lots that die only one is wanted, and the other is worth less. Last come
lures: odd bags of other runs, too few for any surface, and kits that live longer and lie nearer.

`python -m tests.stock.allocation.planted` writes the ten files again; a test compares them.
"""

from __future__ import annotations

import json
import random
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from stock.allocation.rules import LotView, Need
from stock.allocation.rules.joint import Present, Problem, Score

FOLDER = Path(__file__).parent / "instances"
TODAY = date(2026, 5, 14)
DAYS = 42
BAG, KIT_PENCE = 20_000, 38_50


@dataclass(frozen=True)
class Size:
    """How much of everything an instance has; `lots` in all, lures among them."""

    name: str
    seed: int
    jobs: int
    lots: int
    stones: int
    kits: int
    held: float = 0.4  # the share of needs that hold their planted lots already
    forced: int = 2  # reservations on lots that were held since, which must move
    stuck: int = 0  # surfaces that have some of a run of which there is no more
    dying: int = 0  # jobs whose kits die where each job takes what expires first


SIZES = (
    Size("one-stone", 1, 4, 16, 1, 1, forced=0),
    Size("two-stones", 2, 6, 24, 2, 1),
    Size("many-runs", 3, 8, 60, 1, 1, stuck=1),
    Size("kits-only-in-date", 4, 10, 50, 1, 2),
    Size("all-reserved", 5, 10, 50, 2, 1, held=1.0, dying=4),
    Size("nothing-reserved", 6, 12, 80, 2, 1, held=0.0, forced=0),
    Size("a-month", 7, 20, 130, 3, 2, stuck=2),
    Size("six-weeks", 8, 30, 200, 4, 2),
    Size("high-season", 9, 60, 400, 5, 3, stuck=3),
    Size("high-season-few-stones", 10, 60, 400, 3, 2, held=0.7, forced=5),
)


class Maker:
    """Builds one instance from its seed."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self.draw = random.Random(size.seed)
        self.lots: list[LotView] = []
        self.needs: list[Need] = []
        self.present: list[Present] = []
        self.planted: dict[int, list[tuple[int, int]]] = {}

    def lot(self, item: int, free: int, **more: Any) -> LotView:
        number = len(self.lots) + 1
        made = LotView(
            lot_id=number, code=f"L-{number}", item_id=item, free=free,
            near=self.draw.randint(1, 9), item_name=f"item {item}", **more,
        )  # fmt: skip
        self.lots.append(made)
        return made

    def need(self, item: int, quantity: int, job: int, day: date, **more: Any) -> Need:
        made = Need(
            need_id=len(self.needs) + 1, item_id=item, name=f"item {item}", quantity=quantity,
            day=day, job_id=job, **more,
        )  # fmt: skip
        self.needs.append(made)
        return made

    def stone(self, item: int, days: dict[int, date]) -> None:
        """Runs that are used up to the last bag by the surfaces planted on them."""
        waiting = list(days)
        self.draw.shuffle(waiting)
        run = 0
        while waiting:
            run += 1
            served = [waiting.pop() for _ in range(min(len(waiting), self.draw.randint(1, 3)))]
            wants = [self.draw.randint(4, 30) * BAG for _ in served]
            parts = self.draw.randint(1, 2)
            rest, made = sum(wants), []
            for n in range(parts):
                free = rest if n == parts - 1 else rest // (2 * BAG) * BAG
                rest -= free
                made.append(self.lot(item, free, run=f"{item}-{run:03d}"))
            left = {lot.lot_id: lot.free for lot in made}
            for job, want in zip(served, wants, strict=True):
                need = self.need(
                    item, want, job, days[job], colour_group="buff", run_matched=True,
                    pack_quantity=BAG, pack_name="bag", pack_mass_g=BAG,
                )  # fmt: skip
                self.take(need, made, left)

    def kits(self, item: int, days: dict[int, date]) -> None:
        """Kits that are lost unless each job takes its own: dated a few days past its laying."""
        for job, day in days.items():
            want = self.draw.randint(3, 20)
            need = self.need(item, want, job, day, margin_days=2, pack_name="kit")
            expiry = day + timedelta(days=2 + self.draw.randint(0, 3))
            made = self.lot(item, want, expiry=expiry, value=KIT_PENCE * 1000)
            self.take(need, [made], {made.lot_id: want})

    def take(self, need: Need, lots: list[LotView], left: dict[int, int]) -> None:
        """Plant a need on lots, in their order."""
        want = need.quantity
        for lot in lots:
            part = min(want, left[lot.lot_id])
            if part:
                left[lot.lot_id] -= part
                want -= part
                self.planted.setdefault(need.need_id, []).append((lot.lot_id, part))

    def reserve(self) -> int:
        """Reserve some needs where they are planted, others on held lots; return what must move."""
        some = self.draw.sample(self.needs, int(len(self.needs) * self.size.held))
        forced = 0
        for need in some:
            if forced < self.size.forced:
                dead = self.lot(need.item_id, need.quantity, run="lost", held="got damp")
                self.present.append(Present(need.need_id, dead.lot_id, need.quantity))
                forced += 1
                continue
            for lot_id, part in self.planted[need.need_id]:
                self.present.append(Present(need.need_id, lot_id, part))
        return forced

    def beyond_help(self) -> tuple[int, int]:
        """Add what no plan can help; return the thousandths of packs unmet and of pence lost."""
        kit = self.size.stones + 1
        early = self.lot(kit, 3, expiry=TODAY + timedelta(days=5), value=KIT_PENCE * 1000)
        for number in range(self.size.stuck):
            self.need(
                1, 4 * BAG, 1000 + number, TODAY + timedelta(days=20), colour_group="buff",
                run_matched=True, run="used-up", in_hand=2 * BAG, pack_quantity=BAG,
                pack_name="bag", pack_mass_g=BAG,
            )  # fmt: skip
        return self.size.stuck * 4 * 1000, early.free * early.value

    def dying(self) -> tuple[int, int]:
        """Add kits that first expired first leaves to die; return what must move and be lost.

        No other need takes these items. In turn: a job holds kits that live on, and what may stand
        in for them dies, so it must move to lose nothing; and a job wants as many kits as lie in
        each of two lots that die, so one lot is lost, at best the one that is worth less, which
        is the one that expires first.
        """
        moves = loss = 0
        for number in range(self.size.dying):
            own, other, want = 900 + number, 950 + number, self.draw.randint(3, 12)
            day = TODAY + timedelta(days=self.draw.randint(6, 20))
            soon, later = day + timedelta(days=2), day + timedelta(days=5)
            more = {"margin_days": 2, "pack_name": "kit"}
            if number % 2 == 0:
                need = self.need(own, want, 2000 + number, day, substitutes=(other,), **more)
                lives = self.lot(
                    own, want, expiry=TODAY + timedelta(days=DAYS + 60), value=KIT_PENCE * 1000
                )
                self.lot(other, want, expiry=soon, value=KIT_PENCE * 1000)
                self.present.append(Present(need.need_id, lives.lot_id, want))
                moves += 1
            else:
                self.need(own, want, 2000 + number, day, **more)
                cheap = self.lot(own, want, expiry=soon, value=KIT_PENCE * 500)
                self.lot(own, want, expiry=later, value=KIT_PENCE * 1000)
                loss += want * cheap.value
        return moves, loss

    def lures(self) -> None:
        """Odd bags of other runs, too few for any surface, and kits that live long enough."""
        while len(self.lots) < self.size.lots:
            item = self.draw.randint(1, self.size.stones + self.size.kits)
            if item <= self.size.stones:
                number = len(self.lots)
                self.lot(item, self.draw.randint(1, 3) * BAG, run=f"odd-{number}")
            else:
                expiry = TODAY + timedelta(days=DAYS + self.draw.randint(1, 90))
                self.lot(item, self.draw.randint(1, 6), expiry=expiry, value=KIT_PENCE * 1000)


def make(size: Size) -> tuple[Problem, Score]:
    """Return an instance and the score of its planted plan, which no plan can better."""
    maker = Maker(size)
    days = {
        job: TODAY + timedelta(days=maker.draw.randint(4, DAYS - 7))
        for job in range(1, size.jobs + 1)
    }
    for item in range(1, size.stones + 1):
        share = {job: day for job, day in days.items() if job % size.stones == item - 1}
        maker.stone(item, share)
    for item in range(size.stones + 1, size.stones + size.kits + 1):
        share = {job: day for job, day in days.items() if job % size.kits == item - size.stones - 1}
        maker.kits(item, share)
    forced = maker.reserve()
    unmet, loss = maker.beyond_help()
    moves, dead = maker.dying()
    maker.lures()
    problem = Problem(
        tuple(maker.needs), tuple(maker.lots), tuple(maker.present), TODAY + timedelta(days=DAYS)
    )  # fmt: skip
    return problem, Score(unmet, size.stuck, loss + dead, forced + moves)


def as_text(problem: Problem, best: Score) -> str:
    """Return an instance as its file holds it; defaults are left out."""

    def bare(row: Any) -> dict[str, Any]:
        defaults = {name: field.default for name, field in type(row).__dataclass_fields__.items()}
        return {
            name: value.isoformat() if isinstance(value, date) else value
            for name, value in asdict(row).items() if defaults[name] != value
        }  # fmt: skip

    rows = {
        name: [json.dumps(bare(row), ensure_ascii=False) for row in getattr(problem, name)]
        for name in ("needs", "lots", "present")
    }
    parts = [f'"{name}": [\n' + ",\n".join(lines) + "\n]" for name, lines in rows.items()]
    head = [f'"best": {json.dumps(best._asdict())}', f'"until": "{problem.until.isoformat()}"']
    return "{\n" + ",\n".join([*head, *parts]) + "\n}\n"


def read(path: Path) -> tuple[Problem, Score]:
    """Return the instance of a file."""
    found = json.loads(path.read_text(encoding="utf-8"))

    def dated(row: dict[str, Any]) -> dict[str, Any]:
        days = {"day", "expiry"} & row.keys()
        return row | {name: date.fromisoformat(row[name]) for name in days}

    return Problem(
        tuple(Need(**dated(row)) for row in found["needs"]),
        tuple(LotView(**dated(row)) for row in found["lots"]),
        tuple(Present(**row) for row in found["present"]),
        date.fromisoformat(found["until"]),
    ), Score(**found["best"])


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for each in SIZES:
        (FOLDER / f"{each.name}.json").write_text(as_text(*make(each)), encoding="utf-8")
