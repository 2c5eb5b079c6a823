"""What a long run has to say for itself."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Report:
    """Counts by what they count, and each failure with what reproduces it."""

    counts: dict[str, int] = field(default_factory=dict)
    failures: list[str] = field(default_factory=list)

    def count(self, what: str) -> None:
        self.counts[what] = self.counts.get(what, 0) + 1
