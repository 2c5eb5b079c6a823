"""What a take-off is asked: areas, blends, waste, weather, uncertainties. SI floats inside."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from quotes.engine.areas import AreaMeasure
from quotes.engine.cards import Blend

Use = Literal["pedestrian", "vehicles", "heavy"]
USES: tuple[Use, ...] = ("pedestrian", "vehicles", "heavy")


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """One standard deviation each. tape_m, where given, takes the place of area_percent.

    Depth, density and texture errors are common to the whole job; only the tape's are an area's
    own. The defaults are common practice, no source.
    """

    area_percent: float = 1.0
    tape_m: float | None = None
    depth_m: float = 0.001
    density: float = 30.0
    texture_m: float = 0.0005


@dataclass(frozen=True, slots=True)
class AreaRequest:
    """One area to be laid: depth and base texture in m; session None for the unnamed one."""

    name: str
    blend: str | None
    use: Use
    depth_m: float
    texture_m: float
    outdoors: bool
    measure: AreaMeasure
    session: str | None = None

    @property
    def layer_m(self) -> float:
        """Depth and what the base's texture swallows."""
        return self.depth_m + self.texture_m


@dataclass(frozen=True, slots=True)
class Request:
    """A whole take-off. blends has the one key None when the document names none."""

    blends: Mapping[str | None, Blend]
    areas: tuple[AreaRequest, ...]
    waste_percent: float
    air: float
    surface: float | None = None
    humidity: float | None = None
    part_mixes: bool = False
    uncertainty: Uncertainty = Uncertainty()

    @property
    def several(self) -> bool:
        """Whether the document names its blends."""
        return None not in self.blends
