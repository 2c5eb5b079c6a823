"""The one family of errors the engine raises.

Every refusal names the value (`where`), the reason and what would be accepted (`message`), and
carries a short `code` that a page or a command can act on. Nothing else leaves the engine.
"""


class EngineError(ValueError):
    """A value the engine cannot use.

    code: a short word ('bad_unit'); where: a path ('areas[0].shapes[1].length');
    message: one sentence on what is wrong, why, and what would be accepted.
    """

    def __init__(self, code: str, where: str, message: str) -> None:
        super().__init__(code, where, message)
        self.code = code
        self.where = where
        self.message = message

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message

    def as_dict(self) -> dict[str, str]:
        """The error as the take-off command prints it: error, where, message."""
        return {"error": self.code, "where": self.where, "message": self.message}


class UnitError(EngineError):
    """A quantity that is not a number with a unit of the right kind, or is out of range."""


class DocumentError(EngineError):
    """A document that is not JSON, or has the wrong keys or types."""


class ShapeError(EngineError):
    """Measurements that no figure on the ground can have."""


class BlendError(EngineError):
    """A blend card that contradicts itself or cannot be mixed."""


class ModelError(EngineError):
    """Inputs outside the range for which a rule or a model holds."""
