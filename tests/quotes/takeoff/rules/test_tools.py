"""A person's tools: typical figures, the maker's, and both values of the law."""

from __future__ import annotations

import pytest

from quotes.engine.errors import ModelError
from quotes.takeoff.rules.tools import ToolLine, tool_day


def test_typical_and_makers_figures_side_by_side() -> None:
    found = tool_day([ToolLine("breaker", 30), ToolLine("plate compactor", 60, 8.0)])

    # HSE's points: 2 a² an hour, 100 at the action value (as tests/outside/test_facts_vibration.py)
    assert [row.points for row in found.rows] == [pytest.approx(144), pytest.approx(128)]
    assert found.exposure.points == pytest.approx(272)
    # alone at 8 m/s²: 8 h x (2.5 / 8)² = 46.9 min, shown downwards
    assert found.rows[1].to_action == "46 min"
    assert found.rows[0].line.whence == "typical, follow the maker's figure"
    assert {each.code for each in found.cautions} == {"vibration_action", "site_silica"}


def test_the_limit_stops() -> None:
    found = tool_day([ToolLine("breaker", 120)])

    assert found.exposure.over_limit
    assert found.cautions[0].level == "stop"


def test_a_still_tool_is_never_over() -> None:
    (row,) = tool_day([ToolLine("paddle mixer", 60, 0.0)]).rows

    assert (row.points, row.to_action, row.to_limit) == (0.0, "never", "never")


def test_a_vibration_out_of_range_is_refused() -> None:
    with pytest.raises(ModelError):
        tool_day([ToolLine("breaker", 10, 101.0)])
