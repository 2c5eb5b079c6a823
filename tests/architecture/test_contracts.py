"""Each contract of import-linter refuses what it is there to refuse.

The code is copied, one breach is planted, and the real command must exit 1 with that contract
broken and no other.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("config", "jobs", "stock", "quotes")

APPS = "Apps are layered; only the engine may be reached from below"
ENGINE = "The engine is plain Python"
JOBS = "Rooms of jobs: one direction, kernel lowest"
STOCK = "Rooms of stock: one direction, catalogue lowest"
QUOTES = "Rooms of quotes: one direction, engine lowest"
INSIDE = "Inside a room, calls go one way"
SERVICES = "No service reaches a page"


@dataclass(frozen=True)
class Breach:
    """Lines added to files, which are made where missing, and the contract that must break."""

    contract: str
    plants: dict[str, str] = field(default_factory=dict)


BREACHES = {
    "a lower app imports a higher one": Breach(
        APPS, {"jobs/customers/enums.py": "import stock.ledger.models"}
    ),
    "the middle app imports the top one": Breach(
        APPS, {"stock/ledger/enums.py": "import quotes.quoting.models"}
    ),
    "an app imports the wiring": Breach(APPS, {"jobs/audit/enums.py": "import config.settings"}),
    "the engine imports Django": Breach(ENGINE, {"quotes/engine/units.py": "import django.utils"}),
    "the engine imports numpy": Breach(ENGINE, {"quotes/engine/tape.py": "import numpy"}),
    "the engine imports an app": Breach(
        ENGINE, {"quotes/engine/units.py": "import jobs.kernel.money"}
    ),
    "a lower room of jobs imports a higher one": Breach(
        JOBS, {"jobs/customers/enums.py": "import jobs.work.enums"}
    ),
    "the kernel imports a room": Breach(
        JOBS, {"jobs/kernel/money.py": "import jobs.customers.enums"}
    ),
    "a room of jobs that nobody placed": Breach(JOBS, {"jobs/garden/__init__.py": ""}),
    "a lower room of stock imports a higher one": Breach(
        STOCK, {"stock/ledger/enums.py": "import stock.laying.enums"}
    ),
    "two rooms of stock on one line know each other": Breach(
        STOCK,
        {"stock/labels/enums.py": "", "stock/conditions/rules.py": "import stock.labels.enums"},
    ),
    "a room of stock that nobody placed": Breach(STOCK, {"stock/garden/__init__.py": ""}),
    "a lower room of quotes imports a higher one": Breach(
        QUOTES, {"quotes/quoting/enums.py": "import quotes.documents.enums"}
    ),
    "a room of quotes that nobody placed": Breach(QUOTES, {"quotes/garden/__init__.py": ""}),
    "enums import models": Breach(INSIDE, {"stock/ledger/enums.py": "import stock.ledger.models"}),
    "a service imports a form": Breach(
        INSIDE,
        {"stock/ledger/forms.py": "", "stock/ledger/services.py": "import stock.ledger.forms"},
    ),
    "a view imports a task": Breach(
        INSIDE, {"stock/ledger/tasks.py": "", "stock/ledger/views.py": "import stock.ledger.tasks"}
    ),
    "a file that no room may have": Breach(INSIDE, {"stock/ledger/helpers.py": ""}),
    "a service imports a view of another room": Breach(
        SERVICES,
        {"jobs/audit/views.py": "", "stock/laying/services.py": "import jobs.audit.views"},
    ),
}


def broken(folder: Path) -> tuple[int, set[str]]:
    """Run the linter on a copy; return its exit code and the names of the broken contracts."""
    done = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    words = " ".join(done.stdout.split())
    table = words.partition("Analyzed ")[2].partition("Contracts: ")[0]
    names = {name for name in contract_names() if re.search(rf"{re.escape(name)} BROKEN", table)}
    assert "Contracts: " in words, done.stdout + done.stderr
    return done.returncode, names


def contract_names() -> list[str]:
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    return re.findall(r'\[\[tool\.importlinter\.contracts\]\]\nname = "([^"]+)"', text)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the code with nothing planted."""
    folder = tmp_path_factory.mktemp("tree")
    for package in PACKAGES:
        shutil.copytree(
            ROOT / package, folder / package, ignore=shutil.ignore_patterns("__pycache__", "*.css")
        )
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def test_nothing_is_broken_where_nothing_is_planted(copy: Path) -> None:
    assert broken(copy) == (0, set())


def test_every_contract_has_a_breach() -> None:
    assert {breach.contract for breach in BREACHES.values()} == set(contract_names())


@pytest.mark.parametrize("name", BREACHES)
def test_a_breach_breaks_its_contract_and_no_other(copy: Path, name: str) -> None:
    breach = BREACHES[name]
    before = {path: (copy / path).read_text() for path in breach.plants if (copy / path).exists()}
    made = [path.parent for path in map(copy.joinpath, breach.plants) if not path.parent.exists()]
    try:
        for path, line in breach.plants.items():
            (copy / path).parent.mkdir(exist_ok=True)
            (copy / path).write_text(f"{before.get(path, '')}\n{line}\n")
        assert broken(copy) == (1, {breach.contract})
    finally:
        for path in breach.plants:
            (copy / path).unlink(missing_ok=True)
            if path in before:
                (copy / path).write_text(before[path])
        for folder in made:
            shutil.rmtree(folder, ignore_errors=True)
