"""The take-off document: the design's JSON in, the design's JSON out.

`answer` takes the document already parsed, `answer_text` reads it from text, strictly. The schema
of both is in schema.json beside this file. Both raise EngineError and nothing else.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NoReturn

from quotes.engine import timing
from quotes.engine.cards import Blend
from quotes.engine.cautions import Caution
from quotes.engine.errors import DocumentError
from quotes.engine.parse import parse_request
from quotes.engine.request import Request
from quotes.engine.takeoff import AreaTakeOff, SessionTakeOff, TakeOff, take_off
from quotes.engine.takeoff_cautions import cautions_of
from quotes.engine.takeoff_workings import workings_of
from quotes.engine.units import shown
from quotes.engine.workings import Working

MAX_TEXT = 1_000_000
MAX_DEPTH = 12
SCHEMA_FILE = Path(__file__).with_name("schema.json")


def answer(document: Mapping[str, object]) -> dict[str, object]:
    """Answer a take-off document. Raises EngineError."""
    _check_depth(document)
    return answer_request(parse_request(document))


def answer_text(text: str) -> dict[str, object]:
    """Answer a take-off document given as JSON text. Raises EngineError.

    Refused: more than a million characters, nesting beyond 12, a key given twice, NaN,
    infinities, and numbers too large for a float.
    """
    return answer(read_text(text))


@dataclass(frozen=True)
class Worked:
    """A take-off worked out in full, for pages: what `answer` prints, as objects.

    chance: that at least one session needs more than its mixes; spares: the fewest spare mixes
    that bring it to 5 % or less.
    """

    found: TakeOff
    timings: dict[str | None, timing.Timing]
    chance: float
    spares: int
    cautions: tuple[Caution, ...]
    workings: tuple[Working, ...]


def work_out(request: Request) -> Worked:
    """Work a take-off out in full. Raises ModelError when it is out of all proportion."""
    found = take_off(request)
    chance, spares = found.job.any_short(), sum(found.job.spares_for())
    timings = {
        name: timing.times(blend.kit, request.air, request.surface)
        for name, blend in request.blends.items()
    }
    return Worked(
        found,
        timings,
        chance,
        spares,
        cautions_of(found, timings, chance, spares),
        tuple(workings_of(found, timings, chance, spares)),
    )


def answer_request(request: Request) -> dict[str, object]:
    """Answer a take-off that is parsed already. Raises ModelError when it is out of proportion."""
    return answer_worked(work_out(request))


def answer_worked(worked: Worked) -> dict[str, object]:
    """The answer's document of a take-off that is worked out already."""
    found, request = worked.found, worked.found.request
    blends = {name: _blend(blend) for name, blend in request.blends.items()}
    times = {name: each.as_dict() for name, each in worked.timings.items()}
    several = request.several
    return {
        "areas": [_area(each) for each in found.areas],
        "total": _total(found),
        "sessions": [_session(each) for each in found.sessions],
        ("blends" if several else "blend"): blends if several else blends[None],
        "timing": times if several else times[None],
        "risk": {
            "probability_short": worked.chance,
            "spare_mixes_for_5_percent": worked.spares,
        },
        "cautions": [each.as_dict() for each in worked.cautions],
        "workings": [each.as_dict() for each in worked.workings],
    }


def _session(session: SessionTakeOff) -> dict[str, object]:
    return {
        "name": session.name,
        "blend": session.blend,
        "area_m2": session.area_m2,
        "mixes_exact": session.mixes_exact,
        "mixes": _count(session.mixes),
    }


def _count(mixes: float) -> float:
    return int(mixes) if float(mixes).is_integer() else mixes


def _area(area: AreaTakeOff) -> dict[str, object]:
    measure = area.request.measure
    return {
        "name": area.request.name,
        "area_m2": measure.area_m2,
        "edge_m": measure.edge_m,
        "depth_mm": 1000 * area.request.depth_m,
        "yield_m2_per_mix": area.yield_m2_per_mix,
        "mixes_exact": area.mixes_exact,
    }


def _total(found: TakeOff) -> dict[str, object]:
    return {
        "area_m2": found.area_m2,
        "mixes_exact": found.mixes_exact,
        "mixes": _count(found.mixes),
        "kits": found.kits,
        "resin_kg": found.resin_kg,
        "aggregate_kg": found.aggregate_kg,
        "mass_kg": found.mass_kg,
        "components": [
            {"name": each.name, "bags": each.bags, "kg": each.kg} for each in found.components
        ],
        "leftover": [{"name": each.name, "kg": each.leftover_kg} for each in found.components],
    }


def _blend(blend: Blend) -> dict[str, float]:
    return {
        "resin_percent_of_aggregate": blend.resin_percent,
        "mix_kg": blend.mix_kg,
        "compacted_density_kg_m3": blend.compacted_density,
    }


def _refuse_constant(word: str) -> NoReturn:
    raise DocumentError("bad_number", "document", f"{word} is not a number; write a finite one")


def _float(text: str) -> float:
    found = float(text)
    if found in {float("inf"), float("-inf")}:
        raise DocumentError("bad_number", "document", f"{text[:30]} is too large a number")
    return found


def _int(text: str) -> int:
    if len(text) > 30:
        raise DocumentError("bad_number", "document", f"{text[:30]}… is too large a number")
    return int(text)


def _pairs(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        seen: set[str] = set()
        twice = next(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
        where = shown(twice).strip("'")
        raise DocumentError("given_twice", where, "this key is given twice; give it once")
    return found


def read_text(text: str) -> dict[str, object]:
    """Read JSON text strictly into an object. Raises DocumentError."""
    if len(text) > MAX_TEXT:
        raise DocumentError(
            "too_long",
            "document",
            f"the document has {len(text)} characters; accepted are up to {MAX_TEXT}",
        )
    try:
        found = json.loads(
            text,
            object_pairs_hook=_pairs,
            parse_constant=_refuse_constant,
            parse_float=_float,
            parse_int=_int,
        )
    except json.JSONDecodeError as error:
        raise DocumentError(
            "bad_json",
            f"line {error.lineno} column {error.colno}",
            f"this is not JSON: {error.msg}",
        ) from None
    except RecursionError:
        raise DocumentError("too_deep", "document", "the document is nested too deeply") from None
    if not isinstance(found, dict):
        raise DocumentError("bad_type", "document", 'expected an object, as {"blend": …}')
    return found


def _check_depth(document: object) -> None:
    """Refuse a document that is nested deeper than any take-off is."""
    level: list[object] = [document]
    for _ in range(MAX_DEPTH):
        inner: list[object] = []
        for each in level:
            if isinstance(each, Mapping):
                inner.extend(each.values())
            elif isinstance(each, list | tuple):
                inner.extend(each)
        if not inner:
            return
        level = inner
    raise DocumentError(
        "too_deep", "document", f"the document is nested deeper than {MAX_DEPTH} levels"
    )


@cache
def schema() -> dict[str, object]:
    """The JSON Schema of the document ($defs/request) and of its answer ($defs/answer)."""
    found: dict[str, object] = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    return found
