"""The registry of cautions: what to say, how hard, to whom, and on whose word.

A module that has something to say registers its kinds when it is imported and makes cautions of
them with `caution(code, **values)`. Levels: `stop` (do not lay), `sign` (somebody must decide and
put their name to it), `note` (know this). The customer sees only what is addressed to him; the
firm sees everything.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from quotes.engine.workings import COMMON_PRACTICE

Level = Literal["stop", "sign", "note"]
Audience = Literal["customer", "firm"]

_ORDER: dict[Level, int] = {"stop": 0, "sign": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class CautionKind:
    """A kind of caution: its sentence has {named} places for the values."""

    code: str
    level: Level
    sentence: str
    source: str
    audience: Audience


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution as it is shown: a whole sentence with its figures."""

    code: str
    level: Level
    message: str
    source: str
    audience: Audience

    def as_dict(self) -> dict[str, str]:
        """The caution as the answer document prints it."""
        return {"code": self.code, "level": self.level, "message": self.message}


_REGISTRY: dict[str, CautionKind] = {}


def register(
    code: str,
    *,
    level: Level,
    sentence: str,
    source: str = COMMON_PRACTICE,
    audience: Audience = "firm",
) -> CautionKind:
    """Add a kind to the registry and return it.

    Registering the same kind again is harmless; another kind under a known code raises KeyError,
    for two meanings under one code would reach people as one.
    """
    kind = CautionKind(code, level, sentence, source, audience)
    known = _REGISTRY.setdefault(code, kind)
    if known != kind:
        raise KeyError(f"caution {code!r} is registered already with another meaning")
    return known


def caution(code: str, **values: object) -> Caution:
    """Make a caution of a registered kind.

    Raises KeyError for an unknown code or a missing value: both are faults of the program.
    """
    kind = _REGISTRY[code]
    return Caution(code, kind.level, kind.sentence.format(**values), kind.source, kind.audience)


def registered() -> tuple[CautionKind, ...]:
    """Every kind known so far, by code."""
    return tuple(_REGISTRY[code] for code in sorted(_REGISTRY))


def gathered(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """The cautions without repeats, the hardest first, otherwise in the order given."""
    return tuple(sorted(dict.fromkeys(cautions), key=lambda each: _ORDER[each.level]))


def for_customer(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Those addressed to the customer."""
    return tuple(each for each in cautions if each.audience == "customer")
