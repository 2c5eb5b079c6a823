"""Reads the Dockerfile, .dockerignore and docker-compose.yml as far as the tests need them."""

from __future__ import annotations

import re
import shlex
import shutil
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Copy:
    """One COPY line of the Dockerfile that takes from the tree."""

    sources: tuple[str, ...]
    target: str


def instructions() -> list[tuple[str, str]]:
    """Return keyword and rest of each instruction, continued lines joined, comments left out."""
    text = (ROOT / "Dockerfile").read_text(encoding="utf-8")
    lines = "\n".join(line for line in text.splitlines() if not line.startswith("#"))
    joined = lines.replace("\\\n", " ")
    return [
        (keyword, rest.strip())
        for keyword, _, rest in (line.partition(" ") for line in joined.splitlines())
        if keyword
    ]


def last_stage() -> list[tuple[str, str]]:
    """Return the instructions of what is run, without those of the stage that builds."""
    found = instructions()
    last = max(n for n, (keyword, _) in enumerate(found) if keyword == "FROM")
    return found[last:]


def copies(found: list[tuple[str, str]]) -> list[Copy]:
    """Return the COPY lines that take from the tree."""
    split = [rest.split() for keyword, rest in found if keyword == "COPY"]
    return [
        Copy(tuple(words[:-1]), words[-1]) for words in split if not words[0].startswith("--from=")
    ]


def apt_packages() -> set[str]:
    """Return every Debian package that the Dockerfile installs."""
    found: set[str] = set()
    for keyword, rest in instructions():
        if keyword == "RUN":
            for part in re.findall(r"apt-get install ([^&|;]*)", rest):
                found |= {word for word in shlex.split(part) if not word.startswith("-")}
    return found


def is_ignored(path: str) -> bool:
    """Return whether .dockerignore keeps a path out of the build; the last rule wins."""
    ignored = False
    for line in (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines():
        rule = line.strip()
        if not rule or rule.startswith("#"):
            continue
        kept = rule.startswith("!")
        pattern = rule.lstrip("!").removeprefix("**/")
        parents = ["/".join(path.split("/")[: n + 1]) for n in range(path.count("/") + 1)]
        names = path.split("/") if rule.lstrip("!").startswith("**/") else parents
        if any(fnmatch(name, pattern) for name in names):
            ignored = not kept
    return ignored


def lay_out(folder: Path) -> None:
    """Copy what the image's last stage copies from the tree, as it does, into `folder`."""
    for copy in copies(last_stage()):
        for source in copy.sources:
            target = folder / copy.target
            if copy.target in {".", "./"}:
                target = folder / Path(source).name
            target.parent.mkdir(parents=True, exist_ok=True)
            if (ROOT / source).is_dir():
                shutil.copytree(ROOT / source, target, ignore=ignored_names)
            else:
                shutil.copy(ROOT / source, target)


def ignored_names(folder: str, names: list[str]) -> set[str]:
    return {name for name in names if is_ignored(str((Path(folder) / name).relative_to(ROOT)))}


def static_step() -> tuple[dict[str, str], list[str]]:
    """Return environment and command of the RUN line that collects the static files."""
    line = next(rest for word, rest in last_stage() if word == "RUN" and "collectstatic" in rest)
    words = shlex.split(line.split("&&")[0])
    first = next(n for n, word in enumerate(words) if "=" not in word)
    return dict(word.split("=", 1) for word in words[:first]), words[first:]


def image_environment() -> dict[str, str]:
    """Return what the image's ENV lines set, PATH left out."""
    lines = [shlex.split(rest) for keyword, rest in last_stage() if keyword == "ENV"]
    pairs = dict(word.split("=", 1) for words in lines for word in words)
    pairs.pop("PATH")
    return pairs


def compose() -> dict[str, Any]:
    """Return docker-compose.yml, its anchors resolved."""
    loaded = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
    assert isinstance(loaded, dict)
    return loaded


def fill_in(text: str, values: dict[str, str]) -> str:
    """Replace ${NAME} and ${NAME:?message} as compose does from .env."""
    return re.sub(r"\$\{([A-Z_]+)(?::\?[^}]*)?\}", lambda found: values[found[1]], text)
