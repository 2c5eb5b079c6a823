import pickle

from quotes.engine.errors import EngineError, UnitError


def test_an_error_says_where_and_what() -> None:
    error = UnitError("bad_unit", "areas[0].depth", "no such unit")
    assert str(error) == "areas[0].depth: no such unit"
    assert error.as_dict() == {
        "error": "bad_unit",
        "where": "areas[0].depth",
        "message": "no such unit",
    }
    assert isinstance(error, EngineError)
    assert isinstance(error, ValueError)


def test_an_error_survives_pickling() -> None:
    back = pickle.loads(pickle.dumps(UnitError("a", "b", "c")))  # noqa: S301  our own bytes
    assert (back.code, back.where, back.message) == ("a", "b", "c")
