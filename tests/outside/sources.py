"""Marks on tests that check against something outside the project.

`@fact(...)` says which published figures a test asserts, where they were read and how far they
can be trusted. The marks change nothing about a test; a page of the docs is made from them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal, TypeVar

Mark = Literal["seen", "run", "derived", "memory", "common practice"]
MARKS: Final = ("seen", "run", "derived", "memory", "common practice")
NO_SOURCE: Final = "common practice, no source"

Test = TypeVar("Test", bound=Callable[..., None])


@dataclass(frozen=True, slots=True)
class Fact:
    """One body of published figures that a test repeats.

    rows: how many distinct figures or rows; source: where they were read; mark: how.
    """

    test: str
    what: str
    rows: int
    source: str
    mark: Mark


FACTS: Final[list[Fact]] = []


def fact(*, rows: int, source: str, mark: Mark) -> Callable[[Test], Test]:
    """Mark a test as checking `rows` published rows read at `source`.

    mark: 'seen' (read at that address), 'run' (a library was run), 'derived' (arithmetic from
    what was seen or run), 'memory', or 'common practice'. May be given several times.
    """
    if mark not in MARKS or rows < 1 or not source:
        raise ValueError(f"a fact needs rows, a source and one of {MARKS}")

    def marked(test: Test) -> Test:
        what = (test.__doc__ or test.__name__.replace("_", " ")).strip().split("\n")[0]
        FACTS.append(Fact(f"{test.__module__}::{test.__name__}", what, rows, source, mark))
        return test

    return marked
