"""The Dockerfile against the tree and Debian's lists; no engine runs here, so nothing is built."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from tests.architecture import image
from tests.environment import need_program

ROOT = image.ROOT


def test_every_copy_takes_something_of_the_tree_that_git_knows_and_the_build_may_see() -> None:
    sources = [source for copy in image.copies(image.instructions()) for source in copy.sources]
    tracked = subprocess.run(
        ["git", "ls-files", *sources], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()

    assert len(sources) >= 9
    assert [source for source in sources if not (ROOT / source).exists()] == []
    assert [source for source in sources if image.is_ignored(source)] == []
    assert [
        source
        for source in sources
        if not any(path == source or path.startswith(f"{source}/") for path in tracked)
    ] == []


@pytest.mark.parametrize(
    ("path", "ignored"),
    [
        (".env", True),
        ("var/secret", True),
        ("var/resinwright.sqlite3", True),
        (".git/config", True),
        ("tests/conftest.py", True),
        ("config/__pycache__/settings.pyc", True),
        ("config/settings.py", False),
        ("templates/base.html", False),
        ("requirements.txt", False),
        ("scripts/healthz.py", False),
        ("scripts/setup.sh", True),
    ],
)
def test_the_build_sees_the_program_and_no_secret(path: str, ignored: bool) -> None:
    assert image.is_ignored(path) is ignored


def test_the_image_runs_as_a_user_without_rights_and_in_production() -> None:
    stage = image.last_stage()

    assert [rest for keyword, rest in stage if keyword == "USER"] == ["resinwright"]
    assert [keyword for keyword, _ in stage].index("USER") < len(stage) - 1
    assert image.image_environment()["RESINWRIGHT_PRODUCTION"] == "1"


def test_the_image_has_the_libraries_that_set_up_installs() -> None:
    text = (ROOT / "scripts" / "lib.sh").read_text(encoding="utf-8")
    body = text.split("need_system_libraries()", 1)[1].split("\n}", 1)[0]
    by_set_up = set(re.findall(r"packages\+=\(([^)]+)\)", body))

    assert image.apt_packages() == by_set_up
    assert len(by_set_up) == 4


def test_every_debian_package_that_we_name_exists() -> None:
    apt_cache = need_program("apt-cache")
    if not list(Path("/var/lib/apt/lists").glob("*Packages*")):
        pytest.skip("Debian's package lists have not been fetched")
    named = image.apt_packages()
    for script in (ROOT / "scripts" / "lib.sh", ROOT / ".ci" / "run"):
        named |= set(re.findall(r"packages\+=\(([^)]+)\)", script.read_text(encoding="utf-8")))

    unknown = [
        name
        for name in sorted(named)
        if subprocess.run([apt_cache, "show", name], capture_output=True, check=False).returncode
    ]

    assert {"postgresql", "redis-server", "chromium", "fonts-dejavu-core"} <= named
    assert unknown == []


def test_the_python_of_the_image_is_the_one_that_the_locks_are_made_for() -> None:
    bases = [rest.split()[0] for keyword, rest in image.instructions() if keyword == "FROM"]

    assert bases == ["python:3.11-slim-bookworm"] * 2
    assert "--python-version 3.11" in (ROOT / "scripts" / "lock.sh").read_text(encoding="utf-8")
