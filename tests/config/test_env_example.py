""".env.example lists every name that the code and compose read, and no other."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
READERS = {"text", "flag", "whole", "words", "secret"}


def names_read(source: str) -> set[str]:
    """Return the first argument of each call of a reader of config.env, and of os.environ."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = ast.unparse(node.func.value)
            reads = owner == "env" and node.func.attr in READERS
            reads |= owner == "os.environ" and node.func.attr == "get"
            reads |= owner == "os" and node.func.attr == "getenv"
            if reads and node.args and isinstance(node.args[0], ast.Constant):
                found.add(str(node.args[0].value))
        if (
            isinstance(node, ast.Subscript)
            and ast.unparse(node.value) == "os.environ"
            and isinstance(node.slice, ast.Constant)
        ):
            found.add(str(node.slice.value))
    return found


def names_of_the_code() -> set[str]:
    """Return every name that config/ reads, but for what the system sets and not the firm."""
    found: set[str] = set()
    for path in (ROOT / "config").rglob("*.py"):
        found |= names_read(path.read_text(encoding="utf-8"))
    return found - {"DJANGO_SETTINGS_MODULE", "DISPLAY", "WAYLAND_DISPLAY"}


def names_of_compose() -> set[str]:
    """Return what docker-compose.yml fills in from .env, written ${NAME...}."""
    text = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
    return set(re.findall(r"(?<!\$)\$\{([A-Z_]+)", text))


def example() -> dict[str, str]:
    lines = (ROOT / ".env.example").read_text(encoding="utf-8").splitlines()
    settings = [line for line in lines if line.strip() and not line.startswith("#")]
    pairs = [(name, value) for name, _, value in (line.partition("=") for line in settings)]
    assert len({name for name, _ in pairs}) == len(pairs), "a name stands twice"
    return dict(pairs)


def test_the_reader_of_this_test_sees_every_way_to_read() -> None:
    source = "\n".join(
        [
            'env.text("A")',
            'env.flag("B", default=True)',
            'x = os.environ["C"]',
            'os.environ.get("D")',
            'env.secret("E", production=True)',
            'os.getenv("F")',
            'other.text("G")',
        ]
    )

    assert names_read(source) == set("ABCDEF")


def test_the_example_lists_exactly_what_is_read() -> None:
    assert set(example()) == names_of_the_code() | names_of_compose()


def test_the_example_starts_once_its_secrets_are_filled_in(tmp_path: Path) -> None:
    environment = example() | {
        "RESINWRIGHT_SECRET_KEY": "x" * 50,
        "RESINWRIGHT_VAR": str(tmp_path),
        "PATH": os.environ["PATH"],
    }
    program = (
        "from config import settings as s; print(s.PRODUCTION, s.DEBUG, s.ALLOWED_HOSTS,"
        " s.ON_SQLITE, s.CELERY_BROKER_URL, s.STYLE_PAGE)"
    )

    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.stderr == ""
    assert done.stdout.strip() == (
        "True False ['resinwright.example'] True filesystem://localhost False"
    )
