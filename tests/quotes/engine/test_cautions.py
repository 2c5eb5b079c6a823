import pytest

from quotes.engine import document  # noqa: F401  registers the take-off's cautions
from quotes.engine.cautions import caution, for_customer, gathered, register, registered


def test_a_caution_is_a_whole_sentence_with_its_figures() -> None:
    found = caution("too_thin", area="path", depth="12", least="15")
    assert found.message == ("path is to be 12 mm deep; for this use at least 15 mm is usual.")
    assert (found.level, found.audience, found.source) == (
        "sign",
        "customer",
        "common practice, no source",
    )
    assert found.as_dict() == {"code": "too_thin", "level": "sign", "message": found.message}


def test_one_code_has_one_meaning() -> None:
    register("isocyanates", **_same("isocyanates"))
    with pytest.raises(KeyError):
        register("isocyanates", level="note", sentence="Something else.")


def _same(code: str) -> dict[str, object]:
    kind = next(each for each in registered() if each.code == code)
    return {
        "level": kind.level,
        "sentence": kind.sentence,
        "source": kind.source,
        "audience": kind.audience,
    }


def test_an_unknown_code_or_a_missing_figure_is_a_fault_of_the_program() -> None:
    with pytest.raises(KeyError):
        caution("no_such_code")
    with pytest.raises(KeyError):
        caution("too_thin", area="path")


def test_the_hardest_come_first_and_repeats_go() -> None:
    note = caution("isocyanates")
    sign = caution("heavy_use", area="yard")
    stop = caution("humid_air", humidity="90", limit="85")
    assert gathered([note, sign, stop, note]) == (stop, sign, note)
    assert for_customer([note, sign]) == ()


def test_every_kind_has_a_source_and_ends_as_a_sentence() -> None:
    for kind in registered():
        assert kind.source, kind.code
        assert "!" not in kind.sentence, kind.code
