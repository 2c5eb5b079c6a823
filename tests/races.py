"""What race tests share: two clients that both look before either writes."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any


def meeting(real: Callable[..., Any], meet: threading.Barrier) -> Callable[..., Any]:
    """Return `real` made to wait, once it has looked, until the other client has looked too.

    Where a lock keeps the other one waiting, it goes on alone after a second.
    """

    def look(*args: Any) -> Any:
        found = real(*args)
        with suppress(threading.BrokenBarrierError):
            meet.wait(timeout=1)
        return found

    return look
