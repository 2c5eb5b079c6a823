"""The document: its example, its laws, and what it refuses.

Long because: the whole of the answer is asserted, part by part.
"""

import copy
import json
import math
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest
from hypothesis import given

from quotes.engine import document
from quotes.engine.document import answer, answer_text, read_text
from quotes.engine.errors import EngineError

from . import samples

REQUEST = jsonschema.Draft202012Validator(document.schema())
ANSWER = jsonschema.Draft202012Validator({**document.schema(), "$ref": "#/$defs/answer"})


def codes(found: dict[str, Any]) -> list[str]:
    return [each["code"] for each in found["cautions"]]


def test_the_designs_example_is_answered_in_full() -> None:
    # long because: one document and the whole of its answer
    found: Any = answer_text(json.dumps(samples.document()))
    assert list(found) == [
        "areas", "total", "sessions", "blend", "timing", "risk", "cautions", "workings",
    ]  # fmt: skip
    area = 6.2 * 3.4 - math.pi * 0.09
    assert found["areas"] == [
        {
            "name": "drive",
            "area_m2": pytest.approx(area),
            "edge_m": pytest.approx(19.2),
            "depth_mm": pytest.approx(20),
            "yield_m2_per_mix": pytest.approx(3.15),
            "mixes_exact": pytest.approx(area / 3.15 * 1.05),
        }
    ]
    assert found["total"]["mixes"] == found["total"]["kits"] == 7
    assert found["total"]["components"][0] == {"name": "stone 2-6 mm", "bags": 28, "kg": 560.0}
    assert found["total"]["leftover"][0] == {"name": "stone 2-6 mm", "kg": 0.0}
    assert found["sessions"] == [
        {
            "name": None,
            "blend": None,
            "area_m2": pytest.approx(area),
            "mixes_exact": pytest.approx(area / 3.15 * 1.05),
            "mixes": 7,
        }
    ]
    assert found["blend"] == {
        "resin_percent_of_aggregate": pytest.approx(100 * 7 / 105),
        "mix_kg": 112.0,
        "compacted_density_kg_m3": pytest.approx(112 / 0.063),
    }
    factor = 2**0.8  # eight degrees below twenty
    assert found["timing"] == {
        "working_minutes": pytest.approx(26 * factor),
        "cure_hours": pytest.approx(10 * factor),
        "rain_safe_hours": pytest.approx(10 * factor),
        "foot_hours": pytest.approx(24 * factor),
        "vehicle_hours": pytest.approx(72 * factor),
    }
    assert found["risk"]["probability_short"] == pytest.approx(0.433, abs=0.01)
    assert found["risk"]["spare_mixes_for_5_percent"] == 1


def test_several_blends_are_answered_under_their_names() -> None:
    data = samples.document(areas=[samples.area(blend="buff"), samples.area(blend="red")])
    del data["blend"]
    data["blends"] = {"buff": samples.blend(), "red": samples.blend()}
    found: Any = answer(data)
    assert list(found["blends"]) == list(found["timing"]) == ["buff", "red"]
    assert [each["blend"] for each in found["sessions"]] == ["buff", "red"]
    assert found["total"]["components"][0]["bags"] == 56
    ANSWER.validate(found)


def test_outside_the_limits_quantities_are_answered_and_times_are_not() -> None:
    found: Any = answer(samples.document(air="-1 degC"))
    assert found["total"]["mixes"] == 7
    assert set(found["timing"].values()) == {None}
    assert found["cautions"][0] == {
        "code": "temperature_limits",
        "level": "stop",
        "message": "At -1 °C this resin must not be laid: its limits are 0 to 40 °C. "
        "Quantities are answered, times are not.",
    }


@pytest.mark.parametrize(
    ("change", "code", "said"),
    [
        (lambda d: d["blend"]["kit"].update(uv_stable=False), "uv_unstable", True),
        (lambda d: (d["blend"]["kit"].update(uv_stable=False),
                    d["areas"][0].update(outdoors=False)), "uv_unstable", False),
        (lambda d: d["areas"][0].update(depth="17.9 mm"), "too_thin", True),
        (lambda d: d["areas"][0].update(depth="18 mm"), "too_thin", False),
        (lambda d: d["areas"][0].update(depth="15 mm", use="pedestrian"), "too_thin", False),
        (lambda d: d["areas"][0].update(depth="14 mm", use="pedestrian"), "too_thin", True),
        (lambda d: d["areas"][0].update(depth="15 mm"), "stone_too_large", True),
        (lambda d: d["areas"][0].update(depth="16 mm"), "stone_too_large", False),
        (lambda d: d["areas"][0].update(use="heavy"), "heavy_use", True),
        (lambda d: d.update(part_mixes=True), "part_mix", True),
        (lambda d: d.update(humidity="85 %"), "humid_air", True),
        (lambda d: d.update(humidity="84.9 %"), "humid_air", False),
        (lambda d: d.update(humidity="80 %", surface="11 degC"), "surface_damp", True),
        (lambda d: d.update(humidity="80 %", surface="12 degC"), "surface_damp", False),
        (lambda d: d.update(humidity="80 %"), "surface_damp", False),
        (lambda d: d["blend"]["components"][0].update(bag="10 kg", bags=8), "heavy_bags", True),
        (lambda d: d, "isocyanates", True),
        (lambda d: d, "mixing_dust", True),
        (lambda d: d, "running_short", True),
        (lambda d: d["areas"][0]["shapes"][0].update(length="5.6 m"), "running_short", False),
        (lambda d: d, "heavy_use", False),
    ],
)  # fmt: skip
def test_each_caution_is_said_when_it_is_due(
    change: Callable[[dict[str, Any]], object], code: str, said: bool
) -> None:
    data = samples.document()
    change(data)
    assert (code in codes(answer(data))) is said


def test_light_bags_need_no_word() -> None:
    data = samples.document()
    for part in data["blend"]["components"]:
        part["bag"] = "10 kg"
    del data["blend"]["yield"]
    data["blend"]["compacted_density"] = "1778 kg/m^3"
    assert "heavy_bags" not in codes(answer(data))


def test_every_figure_asked_for_stands_in_the_workings() -> None:
    found: Any = answer(samples.document())
    steps = {each["step"]: each for each in found["workings"]}
    risk = steps["chance of running short"]
    assert risk["inputs"] == {
        "area, each its own": "1 %",
        "depth": "1 mm",
        "texture": "0.5 mm",
        "density": "30 kg/m³",
    }
    after = steps["rain-safe, foot and vehicle time"]["inputs"]
    assert after["foot time at 20 °C"] == "24 h (common practice, no source)"
    assert steps["drive: area of the rectangle"]["result"] == "21.08 m²"
    assert steps["drive: mixes, before rounding"]["result"].startswith("6.9324 mixes")
    assert all(each["source"] for each in found["workings"])


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "bad_json"),
        ("{", "bad_json"),
        ("[]", "bad_type"),
        ("3", "bad_type"),
        ('{"a": NaN}', "bad_number"),
        ('{"a": -Infinity}', "bad_number"),
        ('{"a": 1e999}', "bad_number"),
        ('{"a": ' + "9" * 5000 + "}", "bad_number"),
        ('{"a": 1, "a": 2}', "given_twice"),
        ('{"\\ud800": 1, "\\ud800": 2}', "given_twice"),
        ("[" * 200_000, "too_deep"),
        ('{"a":' * 50_000 + "1" + "}" * 50_000, "too_deep"),
        ('{"a": "' + "x" * 1_000_001 + '"}', "too_long"),
    ],
)
def test_text_is_read_strictly(text: str, code: str) -> None:
    with pytest.raises(EngineError) as refused:
        read_text(text)
    assert refused.value.code == code
    assert json.dumps(refused.value.as_dict(), ensure_ascii=False).encode()


DEEP: Any = "1 m"
for _ in range(30):
    DEEP = [DEEP]


@pytest.mark.parametrize(
    ("change", "code", "where"),
    [
        (lambda d: d.pop("air"), "missing_key", "air"),
        (lambda d: d.update(airs="1 degC"), "unknown_key", "airs"),
        (lambda d: d.update({"\ud800": 1}), "unknown_key", "\\ud800"),
        (lambda d: d.update(air=12), "no_unit", "air"),
        (lambda d: d.update(air="12 m"), "bad_unit", "air"),
        (lambda d: d.update(air="121 degC"), "out_of_range", "air"),
        (lambda d: d.update(waste_percent=True), "bad_type", "waste_percent"),
        (lambda d: d.update(waste_percent="5"), "bad_type", "waste_percent"),
        (lambda d: d.update(waste_percent=-1), "out_of_range", "waste_percent"),
        (lambda d: d.update(waste_percent=10**400), "out_of_range", "waste_percent"),
        (lambda d: d.update(waste_percent=math.nan), "out_of_range", "waste_percent"),
        (lambda d: d.update(humidity="101 %"), "out_of_range", "humidity"),
        (lambda d: d.update(humidity=70), "no_unit", "humidity"),
        (lambda d: d.update(part_mixes=1), "bad_type", "part_mixes"),
        (lambda d: d.update(areas=[]), "bad_count", "areas"),
        (lambda d: d.update(areas={}), "bad_type", "areas"),
        (lambda d: d.update(areas=DEEP), "too_deep", "document"),
        (lambda d: d["areas"][0].update(blend="buff"), "unknown_key", "areas[0].blend"),
        (lambda d: d["areas"][0].update(use="boats"), "bad_choice", "areas[0].use"),
        (lambda d: d["areas"][0].update(name=" "), "bad_name", "areas[0].name"),
        (lambda d: d["areas"][0].update(name="a\nb"), "bad_name", "areas[0].name"),
        (lambda d: d["areas"][0].update(depth="0 mm"), "not_positive", "areas[0].depth"),
        (lambda d: d["areas"][0].update(depth="2 m"), "out_of_range", "areas[0].depth"),
        (lambda d: d["areas"][0].update(outdoors="yes"), "bad_type", "areas[0].outdoors"),
        (lambda d: d["areas"][0]["shapes"][1].update(diameter="9 m"), "nothing_left",
         "areas[0].shapes"),
        (lambda d: d["areas"][0]["shapes"][0].update(length=6.2), "no_unit",
         "areas[0].shapes[0].length"),
        (lambda d: d["blend"]["components"][0].update(bags=0), "out_of_range",
         "blend.components[0].bags"),
        (lambda d: d["blend"]["components"][0].update(bags="4"), "bad_type",
         "blend.components[0].bags"),
        (lambda d: d["blend"].update(components=[]), "bad_count", "blend.components"),
        (lambda d: d["blend"]["yield"].update(area="3.15 m"), "bad_unit", "blend.yield.area"),
        (lambda d: d.update(uncertainty={"area_percent": 1, "tape": "5 mm"}), "given_twice",
         "uncertainty"),
        (lambda d: d.update(uncertainty={"depth": 1}), "no_unit", "uncertainty.depth"),
        (lambda d: d.update(uncertainty={"depth": "9 mm"}), "out_of_range", "uncertainty.depth"),
        (lambda d: d.update(uncertainty={"mood": "1 mm"}), "unknown_key", "uncertainty.mood"),
    ],
)  # fmt: skip
def test_a_bad_document_is_refused_with_its_place(
    change: Callable[[dict[str, Any]], object], code: str, where: str
) -> None:
    data = samples.document()
    change(data)
    with pytest.raises(EngineError) as refused:
        answer(data)
    assert (refused.value.code, refused.value.where) == (code, where)


def test_noughts_are_welcome_where_the_design_says_so() -> None:
    nothing = {"depth": "0 mm", "density": "0 kg/m^3", "texture": "0 mm", "area_percent": 0}
    found: Any = answer(samples.document(uncertainty=nothing))
    assert found["risk"] == {"probability_short": 0.0, "spare_mixes_for_5_percent": 0}


def test_a_tape_error_takes_the_place_of_the_share() -> None:
    common = {"depth": "0 mm", "density": "0 kg/m^3", "texture": "0 mm"}
    data = samples.document(areas=[samples.square(3.15)], waste_percent=0)
    found: Any = answer({**data, "uncertainty": {**common, "tape": "10 mm"}})
    assert found["risk"]["probability_short"] == pytest.approx(0.5, abs=1e-6)
    assert found["risk"]["spare_mixes_for_5_percent"] == 1


def test_a_session_is_named_within_its_blend() -> None:
    areas = [
        samples.area(blend="buff", session="one"),
        samples.area(blend="red", session="one"),
        samples.area(blend="red", session="one"),
    ]
    data = samples.document(areas=areas)
    del data["blend"]
    data["blends"] = {"buff": samples.blend(), "red": samples.blend()}
    found: Any = answer(data)
    assert [(s["blend"], s["mixes"]) for s in found["sessions"]] == [("buff", 7), ("red", 14)]


@given(samples.documents())
def test_documents_and_answers_keep_the_schema(data: dict[str, Any]) -> None:
    REQUEST.validate(data)
    before = copy.deepcopy(data)
    found = answer(data)
    assert data == before
    ANSWER.validate(json.loads(json.dumps(found, allow_nan=False)))


def test_the_schema_is_itself_sound_and_refuses_what_the_engine_refuses() -> None:
    jsonschema.Draft202012Validator.check_schema(document.schema())
    changes: tuple[dict[str, Any], ...] = (
        {"unknown": 1},
        {"air": 12},
        {"areas": []},
        {"part_mixes": 1},
        {"uncertainty": {"area_percent": 1, "tape": "1 mm"}},
    )
    for change in changes:
        data = samples.document(**change)
        assert not REQUEST.is_valid(data)
        with pytest.raises(EngineError):
            answer(data)


def _modules(imports: str) -> set[str]:
    """The top-level modules that a fresh interpreter has after an import."""
    code = f"import {imports}, json, sys; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return {name.partition(".")[0] for name in json.loads(done.stdout)}


def test_importing_the_engine_brings_in_no_framework_and_no_solver() -> None:
    # pint itself takes in numpy and scipy wherever they are installed.
    brought = _modules("quotes.engine.document") - _modules("pint")
    heavy = {"django", "celery", "numpy", "scipy", "shapely", "highspy", "ortools", "pandas"}
    assert "quotes" in brought
    assert brought & heavy == set()
