"""What a service says when it refuses: a sentence for the person, at the field where it belongs."""

from __future__ import annotations


class ServiceError(Exception):
    """A write that was refused for a reason that a person can mend.

    `message` is a whole sentence; `field` names the form field it belongs to, or is None for the
    form as a whole; `code` is a short word for tests and commands.
    """

    def __init__(self, message: str, *, field: str | None = None, code: str = "refused") -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.code = code
