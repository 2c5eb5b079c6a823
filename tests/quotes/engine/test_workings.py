import pytest

from quotes.engine.workings import Working, figure


@pytest.mark.parametrize(
    ("value", "unit", "places", "text"),
    [(3.0, "m", 3, "3 m"), (0.1 + 0.2, "", 3, "0.3"), (-0.0001, "", 2, "0"), (1200, "", 0, "1200")],
)
def test_figure_drops_trailing_noughts_only(
    value: float, unit: str, places: int, text: str
) -> None:
    assert figure(value, unit, places) == text


def test_a_working_as_the_document_prints_it() -> None:
    step = Working("area", "length × width", (("length", "2 m"),), "6 m²", "geometry")
    assert step.as_dict() == {
        "step": "area",
        "formula": "length × width",
        "inputs": {"length": "2 m"},
        "result": "6 m²",
        "source": "geometry",
    }
