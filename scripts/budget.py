"""The size budget: a file has at most 300 lines, a function at most 40.

Up to 500 and 60 with a reason that the reader finds in place: a line 'Long because: ...' in the
module's docstring (in a template, in a comment), a comment '# long because: ...' in the function.
Migrations are not counted, since a machine writes them. Exit 1 when something is over.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("config", "jobs", "stock", "quotes", "tests", "scripts", "templates")
FILE, FILE_WITH_REASON = 300, 500
FUNCTION, FUNCTION_WITH_REASON = 40, 60
FILE_REASON = re.compile(r"^\W*Long because: \S", re.MULTILINE)
TEMPLATE_REASON = re.compile(r"\{#\s*Long because: \S|^\s*Long because: \S", re.MULTILINE)
FUNCTION_REASON = re.compile(r"#\s*long because: \S", re.IGNORECASE)


def files(root: Path) -> Iterator[Path]:
    """Yield the Python files and templates that the budget covers."""
    for folder in FOLDERS:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in {".py", ".html", ".txt"} and "migrations" not in path.parts:
                yield path
    yield root / "manage.py"


def over(length: int, most: int, with_reason: int, reason: bool, what: str) -> str:
    """Return what is wrong with a length, '' when nothing is."""
    if length <= most:
        return ""
    if not reason:
        return f"{what} has {length} lines; {most}, or up to {with_reason} with its reason"
    return "" if length <= with_reason else f"{what} has {length} lines; {with_reason} is the most"


def functions_over(tree: ast.Module, lines: list[str]) -> Iterator[tuple[int, str]]:
    """Yield line and complaint for each function that is too long, its docstring counted."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            last = node.end_lineno or node.lineno
            body = "\n".join(lines[max(node.lineno - 2, 0) : last])
            reason = bool(FUNCTION_REASON.search(body))
            length = last - node.lineno + 1
            complaint = over(length, FUNCTION, FUNCTION_WITH_REASON, reason, f"'{node.name}'")
            if complaint:
                yield node.lineno, complaint


def complaints(path: Path) -> Iterator[tuple[int, str]]:
    """Yield line and complaint for one file."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    if path.suffix != ".py":
        reason = bool(TEMPLATE_REASON.search(text))
    else:
        tree = ast.parse(text)
        reason = bool(FILE_REASON.search(ast.get_docstring(tree) or ""))
        yield from functions_over(tree, lines)
    complaint = over(len(lines), FILE, FILE_WITH_REASON, reason, "the file")
    if complaint:
        yield 1, complaint


def main() -> int:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {complaint}"
        for path in files(ROOT)
        for line, complaint in complaints(path)
    ]
    sys.stdout.write("".join(f"{line}\n" for line in found))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
