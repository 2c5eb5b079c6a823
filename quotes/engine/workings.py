"""Workings: the line by which a figure can be followed with a pencil."""

from collections.abc import Iterator
from dataclasses import dataclass

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Working:
    """One step: the formula in words, its inputs with their units, the figure, the source."""

    step: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    result: str
    source: str

    def as_dict(self) -> dict[str, object]:
        """The step as the answer document prints it; inputs as an object of texts."""
        return {
            "step": self.step,
            "formula": self.formula,
            "inputs": dict(self.inputs),
            "result": self.result,
            "source": self.source,
        }

    def __iter__(self) -> Iterator[str]:
        """Step, formula, result: for one-line listings."""
        return iter((self.step, self.formula, self.result))


def figure(value: float, unit: str = "", places: int = 3) -> str:
    """A figure for reading: at most `places` decimals, no trailing noughts, then its unit."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text == "-0":
        text = "0"
    return f"{text} {unit}" if unit else text
