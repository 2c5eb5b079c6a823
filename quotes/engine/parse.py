"""From the design's document, already parsed from JSON, to a Request.

Every key is known, every quantity has its unit, and a refusal says where it was. Raises
EngineError only.
"""

from collections.abc import Mapping

from quotes.engine import reading, timing, units
from quotes.engine.areas import MAX_SHAPES, measure_area, parse_shape
from quotes.engine.cards import Blend, Component, Kit, make_blend
from quotes.engine.errors import BlendError, DocumentError, EngineError, ModelError
from quotes.engine.reading import at
from quotes.engine.request import USES, AreaRequest, Request, Uncertainty, Use
from quotes.engine.workings import figure

MAX_AREAS = 500
MAX_BLENDS = 50
MAX_COMPONENTS = 30
MAX_ROWS = 100
MAX_DEPTH_M = 0.5
_TIMES = ("rain_safe_20c", "foot_time_20c", "vehicle_time_20c")
_UNSURE_MOST = 1 / 3  # an error of a third is no error any more


def parse_request(document: object) -> Request:
    """Read a take-off document."""
    several = isinstance(document, Mapping) and "blends" in document
    data = reading.mapping(
        document,
        "",
        ("blends" if several else "blend", "areas", "waste_percent", "air"),
        ("surface", "humidity", "part_mixes", "uncertainty"),
    )
    blends: dict[str | None, Blend] = (
        _blends(data["blends"]) if several else {None: parse_blend(data["blend"], "blend")}
    )
    entries = reading.sequence(data["areas"], "areas", least=1, most=MAX_AREAS, of="areas")
    areas = tuple(_area(each, f"areas[{k}]", blends) for k, each in enumerate(entries))
    surface, humidity = data.get("surface"), data.get("humidity")
    request = Request(
        blends=blends,
        areas=areas,
        waste_percent=reading.number(data["waste_percent"], "waste_percent", least=0, most=100),
        air=units.temperature(data["air"], "air"),
        surface=None if "surface" not in data else units.temperature(surface, "surface"),
        humidity=None if "humidity" not in data else units.percent(humidity, "humidity"),
        part_mixes=reading.flag(data.get("part_mixes", False), "part_mixes"),
        uncertainty=_uncertainty(data["uncertainty"]) if "uncertainty" in data else Uncertainty(),
    )
    _check_uncertainty(request)
    return request


def _blends(value: object) -> dict[str | None, Blend]:
    if not isinstance(value, Mapping) or not 1 <= len(value) <= MAX_BLENDS:
        raise DocumentError(
            "bad_type",
            "blends",
            f'expected an object of 1 to {MAX_BLENDS} blends by name, as {{"buff": {{…}}}}',
        )
    found: dict[str | None, Blend] = {}
    for key, card in value.items():
        named = reading.name(key, "blends")
        if named in found:
            raise DocumentError("given_twice", "blends", f"the blend '{named}' is given twice")
        found[named] = parse_blend(card, f"blends.{named}")
    return found


def parse_blend(value: object, where: str) -> Blend:
    """Read a blend card of the document: kit, components, yield or compacted_density."""
    data = reading.mapping(value, where, ("kit", "components"), ("yield", "compacted_density"))
    spot = at(where, "components")
    entries = reading.sequence(
        data["components"], spot, least=1, most=MAX_COMPONENTS, of="components"
    )
    components = [_component(each, f"{spot}[{k}]") for k, each in enumerate(entries)]
    kit = parse_kit(data["kit"], at(where, "kit"))
    density = printed = None
    if "compacted_density" in data:
        density = units.density(data["compacted_density"], at(where, "compacted_density"))
    if "yield" in data:
        spot = at(where, "yield")
        pair = reading.mapping(data["yield"], spot, ("area", "depth"))
        printed = (
            units.area(pair["area"], at(spot, "area")),
            _depth(pair["depth"], at(spot, "depth")),
        )
    return make_blend(kit, components, where, density=density, yield_m2_m=printed)


def _component(value: object, where: str) -> Component:
    data = reading.mapping(value, where, ("name", "bag", "bags"), ("max_size",))
    size = units.length(data["max_size"], at(where, "max_size")) if "max_size" in data else None
    if size is not None and size > MAX_DEPTH_M:
        raise BlendError(
            "out_of_range", at(where, "max_size"), "no stone of this trade is that large"
        )
    return Component(
        reading.name(data["name"], at(where, "name")),
        units.mass(data["bag"], at(where, "bag")),
        reading.number(data["bags"], at(where, "bags"), above=0, least=0, most=1000),
        size,
    )


def parse_kit(value: object, where: str) -> Kit:
    """Read a resin kit of the document."""
    data = reading.mapping(
        value,
        where,
        ("part_a", "part_b", "working_time_20c", "cure_time_20c", "uv_stable"),
        (*_TIMES, "table", "limits"),
    )
    rain, foot, vehicle = (
        units.duration(data[key], at(where, key)) if key in data else None for key in _TIMES
    )
    kit = Kit(
        part_a_kg=units.mass(data["part_a"], at(where, "part_a")),
        part_b_kg=units.mass(data["part_b"], at(where, "part_b")),
        working_20_s=units.duration(data["working_time_20c"], at(where, "working_time_20c")),
        cure_20_s=units.duration(data["cure_time_20c"], at(where, "cure_time_20c")),
        uv_stable=reading.flag(data["uv_stable"], at(where, "uv_stable")),
        rain_safe_20_s=rain,
        foot_20_s=foot,
        vehicle_20_s=vehicle,
        table=_table(data["table"], at(where, "table")) if "table" in data else (),
        limits=_limits(data["limits"], at(where, "limits")) if "limits" in data else None,
    )
    try:
        timing.laws(kit)
    except EngineError as error:
        raise BlendError(error.code, at(where, error.where), error.message) from error
    return kit


def _table(value: object, where: str) -> tuple[tuple[float, float, float], ...]:
    of = "rows [temperature, working time, cure time]"
    rows: list[tuple[float, float, float]] = []
    for k, entry in enumerate(reading.sequence(value, where, least=1, most=MAX_ROWS, of=of)):
        spot = f"{where}[{k}]"
        row = reading.sequence(entry, spot, least=3, most=3, of=of)
        rows.append(
            (
                units.temperature(row[0], f"{spot}[0]"),
                units.duration(row[1], f"{spot}[1]"),
                units.duration(row[2], f"{spot}[2]"),
            )
        )
    return tuple(sorted(rows))


def _limits(value: object, where: str) -> tuple[float, float]:
    pair = reading.sequence(value, where, least=2, most=2, of="two temperatures, low and high")
    low, high = (units.temperature(each, f"{where}[{k}]") for k, each in enumerate(pair))
    return low, high


def _depth(value: object, where: str) -> float:
    found = units.length(value, where)
    if not 1e-4 <= found <= MAX_DEPTH_M:
        raise ModelError(
            "out_of_range",
            where,
            f"{figure(1000 * found, 'mm')} is no depth of a laid surface; accepted is 0.1 to "
            f"{1000 * MAX_DEPTH_M:g} mm",
        )
    return found


def _area(value: object, where: str, blends: Mapping[str | None, Blend]) -> AreaRequest:
    several = None not in blends
    data = reading.mapping(
        value,
        where,
        (
            *("name", "use", "depth", "base_texture", "outdoors", "shapes"),
            *(("blend",) if several else ()),
        ),
        ("session",),
    )
    blend = None
    if several:
        blend = reading.name(data["blend"], at(where, "blend"))
        if blend not in blends:
            known = ", ".join(str(each) for each in blends)
            raise DocumentError(
                "unknown_blend", at(where, "blend"), f"'{blend}' is not among the blends: {known}"
            )
    spot = at(where, "shapes")
    entries = reading.sequence(data["shapes"], spot, least=1, most=MAX_SHAPES, of="shapes")
    shapes = [parse_shape(each, f"{spot}[{k}]") for k, each in enumerate(entries)]
    texture = units.length(data["base_texture"], at(where, "base_texture"), zero=True)
    if texture > MAX_DEPTH_M:
        raise ModelError(
            "out_of_range",
            at(where, "base_texture"),
            f"no base swallows {figure(1000 * texture, 'mm')}; accepted is 0 to "
            f"{1000 * MAX_DEPTH_M:g} mm",
        )
    return AreaRequest(
        name=reading.name(data["name"], at(where, "name")),
        blend=blend,
        use=_use(data["use"], at(where, "use")),
        depth_m=_depth(data["depth"], at(where, "depth")),
        texture_m=texture,
        outdoors=reading.flag(data["outdoors"], at(where, "outdoors")),
        measure=measure_area(shapes, spot),
        session=reading.name(data["session"], at(where, "session")) if "session" in data else None,
    )


def _use(value: object, where: str) -> Use:
    word = reading.choice(value, where, USES)
    return next(use for use in USES if use == word)


def _uncertainty(value: object) -> Uncertainty:
    where = "uncertainty"
    data = reading.mapping(
        value, where, (), ("area_percent", "tape", "depth", "density", "texture")
    )
    if "area_percent" in data and "tape" in data:
        raise DocumentError(
            "given_twice",
            where,
            "give 'area_percent' or 'tape', not both: each is the tape's error",
        )
    usual = Uncertainty()
    share, spot = data.get("area_percent", usual.area_percent), at(where, "area_percent")
    return Uncertainty(
        area_percent=reading.number(share, spot, least=0, most=100),
        tape_m=_error(data, "tape", None),
        depth_m=_error(data, "depth", usual.depth_m) or 0.0,
        density=(
            units.density(data["density"], at(where, "density"), zero=True)
            if "density" in data
            else usual.density
        ),
        texture_m=_error(data, "texture", usual.texture_m) or 0.0,
    )


def _error(data: Mapping[str, object], key: str, usual: float | None) -> float | None:
    return units.length(data[key], f"uncertainty.{key}", zero=True) if key in data else usual


def _check_uncertainty(request: Request) -> None:
    """Refuse errors as large as a third of what they belong to: no take-off stands on them."""
    unsure = request.uncertainty
    thinnest = min(area.layer_m for area in request.areas)
    lightest = min(blend.compacted_density for blend in request.blends.values())
    found = [
        ("depth", unsure.depth_m / thinnest),
        ("texture", unsure.texture_m / thinnest),
        ("density", unsure.density / lightest),
    ]
    if unsure.tape_m is None:
        found.append(("area_percent", unsure.area_percent / 100))
    else:
        tape = unsure.tape_m
        found.append(
            (
                "tape",
                max(tape * a.measure.sensitivity2**0.5 / a.measure.area_m2 for a in request.areas),
            )
        )
    for key, share in found:
        if share > _UNSURE_MOST * (1 + 1e-9):
            raise ModelError(
                "out_of_range",
                f"uncertainty.{key}",
                f"this error is {figure(100 * share, '%', 0)} of what it belongs to; accepted is "
                "up to a third",
            )
