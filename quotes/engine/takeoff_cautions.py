"""The cautions of a take-off: few, each with its source, the customer's apart from the firm's."""

from collections.abc import Iterator

from quotes.engine import handling, moisture
from quotes.engine.cautions import Caution, caution, gathered, register
from quotes.engine.request import AreaRequest
from quotes.engine.takeoff import TakeOff
from quotes.engine.timing import Timing
from quotes.engine.workings import figure

# Least depths: common practice, no source. Heavy use is at least a drive, and asks the maker.
LEAST_DEPTH_M = {"pedestrian": 0.015, "vehicles": 0.018, "heavy": 0.018}
LEAST_STONES = 2.5
HEAVY_BAG_KG = handling.filter_mass([("knuckle", "close")], "women")
ACCEPTED_RISK = 0.05
_HAIR = 1e-9
_DRIEST = 1.0  # %; the dew point of drier air than any weather is of no interest here

register(
    "temperature_limits",
    level="stop",
    sentence="At {at} °C this resin must not be laid: its limits are {low} to {high} "
    "°C. Quantities are answered, times are not.",
    source="limits of the kit; follow its data sheet",
)
register(
    "uv_unstable",
    level="sign",
    sentence="The resin of {areas} is not UV-stable and will yellow and darken outdoors.",
    audience="customer",
)
register(
    "too_thin",
    level="sign",
    sentence="{area} is to be {depth} mm deep; for this use at least {least} mm is usual.",
    audience="customer",
)
register(
    "stone_too_large",
    level="sign",
    sentence="{area} is {depth} mm deep, less than {times} times its largest stone of {size} mm: "
    "it cannot be trowelled closed.",
)
register(
    "heavy_use",
    level="sign",
    sentence="{area} is for heavy use: depth, base and blend need the resin maker's word in "
    "writing.",
)
register(
    "part_mix",
    level="sign",
    sentence="Part mixes: weigh out both parts of the kit in their ratio to the gram, and stir "
    "each tin first; a wrong ratio never cures. {left} kg of opened resin is waste.",
)
register(
    "running_short",
    level="sign",
    sentence="The chance of running short is {chance} %; a mix short leaves a joint for ever. "
    "Spare mixes that bring it to 5 % or less: {spares}.",
    source="this take-off's uncertainties",
)
register(
    "surface_damp",
    level="stop",
    sentence="The surface at {surface} °C is less than 3 °C above the dew point of {dew} °C: dew "
    "foams the resin white.",
    source="usual coating practice (the 3 °C rule, ISO 8502-4)",
)
register(
    "humid_air",
    level="stop",
    sentence="Humidity of {humidity} % is not below the usual {limit} %; follow the kit's data "
    "sheet.",
    source="usual coating practice (ISO 8502-4)",
)
register(
    "isocyanates",
    level="note",
    sentence="The hardener contains isocyanates, which can cause asthma: follow the safety data "
    "sheet, wear gloves and eye protection, and keep up health surveillance.",
    source="safety data sheet; HSE EH40 for the limits",
)
register(
    "mixing_dust",
    level="note",
    sentence="Emptying bags of stone and sand raises dust that may hold crystalline silica: mask, "
    "open air, bags emptied low; follow the safety data sheet.",
    source="safety data sheet; COSHH",
)
register(
    "heavy_bags",
    level="note",
    sentence="Bags of {kg} kg: {count} lifts. Share them, use the barrow, and assess the lifting.",
    source="HSE manual handling filter (memory)",
)


def cautions_of(
    found: TakeOff, timings: dict[str | None, Timing], chance: float, spares: int
) -> tuple[Caution, ...]:
    """Every caution of a take-off, hardest first."""
    return gathered(
        [
            *_weather(found, timings),
            *_resin(found),
            *(each for area in found.request.areas for each in _of_area(found, area)),
            *_quantities(found, chance, spares),
            caution("isocyanates"),
            caution("mixing_dust"),
            *_lifting(found),
        ]
    )


def _weather(found: TakeOff, timings: dict[str | None, Timing]) -> Iterator[Caution]:
    for timing in timings.values():
        if timing.cure_hours is None:
            yield caution(
                "temperature_limits",
                at=" to ".join(
                    dict.fromkeys((figure(timing.cool, "", 1), figure(timing.warm, "", 1)))
                ),
                low=f"{timing.low:g}",
                high=f"{timing.high:g}",
            )
    request = found.request
    if request.humidity is None:
        return
    damp = max(request.humidity, _DRIEST)
    if moisture.too_damp(damp):
        yield caution(
            "humid_air",
            humidity=figure(request.humidity, "", 1),
            limit=figure(moisture.HUMIDITY_LIMIT),
        )
    if request.surface is None:
        return
    dew = moisture.dew_point(request.air, damp)
    if request.surface - dew < moisture.SURFACE_MARGIN - _HAIR:
        yield caution(
            "surface_damp", surface=figure(request.surface, "", 1), dew=figure(dew, "", 1)
        )


def _resin(found: TakeOff) -> Iterator[Caution]:
    yellowing = [
        area.name
        for area in found.request.areas
        if area.outdoors and not found.request.blends[area.blend].kit.uv_stable
    ]
    if yellowing:
        yield caution("uv_unstable", areas=", ".join(dict.fromkeys(yellowing)))


def _of_area(found: TakeOff, area: AreaRequest) -> Iterator[Caution]:
    yield from area.measure.cautions(area.name)
    depth = figure(1000 * area.depth_m, "", 1)
    least = LEAST_DEPTH_M[area.use]
    if area.depth_m < least - _HAIR:
        yield caution("too_thin", area=area.name, depth=depth, least=f"{1000 * least:g}")
    largest = found.request.blends[area.blend].largest_m
    if largest is not None and area.depth_m < LEAST_STONES * largest - _HAIR:
        yield caution(
            "stone_too_large",
            area=area.name,
            depth=depth,
            times=f"{LEAST_STONES:g}",
            size=figure(1000 * largest, "", 1),
        )
    if area.use == "heavy":
        yield caution("heavy_use", area=area.name)


def _quantities(found: TakeOff, chance: float, spares: int) -> Iterator[Caution]:
    if found.request.part_mixes:
        yield caution("part_mix", left=figure(found.opened_resin_kg, "", 2))
    if chance > ACCEPTED_RISK:
        yield caution("running_short", chance=figure(100 * chance, "", 0), spares=spares)


def _lifting(found: TakeOff) -> Iterator[Caution]:
    heavy = [each for each in found.components if each.bag_kg > HEAVY_BAG_KG]
    if heavy:
        yield caution(
            "heavy_bags",
            kg=figure(max(each.bag_kg for each in heavy)),
            count=sum(each.bags for each in heavy),
        )
