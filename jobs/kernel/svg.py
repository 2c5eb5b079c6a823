"""The pieces that plans and charts are drawn from: lines, words, the sheet around them.

Every shape carries presentation attributes in the colours of paper and ink, so that a PDF draws it
without a stylesheet; classes let the page's stylesheet turn it to the dark scheme. There are no
style attributes, which the content security policy forbids.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

Point = tuple[float, float]

INK, SOFT, ACCENT, WASH, PAPER, GRID = (
    "#1c2630", "#55636f", "#9c3a24", "#f3efe4", "#fbfaf6", "#ebeceb",
)  # fmt: skip
OK, LOOK = "#2f5d46", "#8a5a00"
FONT = "DejaVu Sans, sans-serif"
WIDTH = 480.0


def line(a: Point, b: Point, name: str, colour: str, width: float, dash: str = "") -> str:
    """Return one straight line."""
    broken = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line class="{name}" x1="{a[0]:.1f}" y1="{a[1]:.1f}" x2="{b[0]:.1f}" y2="{b[1]:.1f}" '
        f'stroke="{colour}" stroke-width="{width:g}"{broken}/>'
    )


def words(
    text: str, x: float, y: float, name: str, *, anchor: str = "start", extra: str = ""
) -> str:
    """Return a line of text, escaped; `name` is 'bold', 'soft' or ''."""
    size = 13 if name == "bold" else 11
    weight = ' font-weight="700"' if name == "bold" else ""
    colour = SOFT if name == "soft" else INK
    shown = f' class="{name}"' if name else ""
    return (
        f'<text{shown} x="{x:.1f}" y="{y:.1f}" font-family="{FONT}" font-size="{size}"{weight} '
        f'fill="{colour}" text-anchor="{anchor}"{extra}>{escape(text)}</text>'
    )


def wrap(
    pieces: Iterable[str], width: float, height: float, title: str, desc: str, name: str
) -> SafeString:
    """Return the whole SVG with its text alternative; every text in it was escaped on the way."""
    body = "\n".join(pieces)
    label = escape(f"{title}. {desc}" if desc else title)
    return mark_safe(  # noqa: S308
        f'<svg class="{name}" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" '
        f'viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}">'
        f"<title>{escape(title)}</title><desc>{escape(desc)}</desc>\n{body}\n</svg>"
    )
