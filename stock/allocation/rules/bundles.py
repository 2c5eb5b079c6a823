"""Which jobs of a proposal can only be taken over together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Change:
    """What a job would have of a lot, beside what it has now."""

    job_id: int
    lot_id: int
    before: int
    after: int


def bundles(changes: Iterable[Change], free: Mapping[int, int]) -> dict[int, int]:
    """Return the bundle of each job, numbered from 1.

    Jobs that would take more of a lot than is free need those that give it up: they are one
    bundle. What is left apart may be taken over in any order.
    """
    rows = list(changes)
    takes: dict[int, int] = defaultdict(int)
    for row in rows:
        takes[row.lot_id] += max(row.after - row.before, 0)
    root = {row.job_id: row.job_id for row in rows}

    def find(job: int) -> int:
        while root[job] != job:
            job = root[job]
        return job

    first: dict[int, int] = {}
    for row in rows:
        if row.before != row.after and takes[row.lot_id] > free.get(row.lot_id, 0):
            other = first.setdefault(row.lot_id, row.job_id)
            root[find(row.job_id)] = find(other)
    numbers: dict[int, int] = {}
    for row in rows:
        numbers.setdefault(find(row.job_id), len(numbers) + 1)
    return {job: numbers[find(job)] for job in root}
