"""House rules that a linter does not know, read from the files: rooms, packages, names."""

from __future__ import annotations

import ast
import re
import tomllib

import pytest

from tests.architecture.tree import APPS, ROOT, code, rooms, run_python, tracked

# -- rooms -----------------------------------------------------------------------------------


def test_every_room_is_under_the_contract_of_its_inside() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    inside = next(one for one in contracts if one["name"] == "Inside a room, calls go one way")

    found = {f"{app}.{folder.name}" for app, folder in rooms()}

    assert set(inside["containers"]) == found - {"jobs.kernel", "quotes.engine"}


def test_no_room_has_a_model_or_a_task_that_its_app_does_not_gather() -> None:
    """A model that Django does not load is never migrated; a task not loaded never runs."""
    wanted = {
        f"{app}.{folder.name}.{part}"
        for app, folder in rooms()
        for part in ("models", "tasks")
        if (folder / f"{part}.py").exists() or (folder / part).is_dir()
    }

    loaded = run_python(
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'\n"
        "import django; django.setup()\n"
        "import jobs.tasks, stock.tasks, quotes.tasks\n"
        "print(*sys.modules)"
    ).split()

    assert len(wanted) > 15
    assert wanted - set(loaded) == set()


def test_every_model_of_a_room_is_known_to_django_under_its_app() -> None:
    written = {
        (app, node.name)
        for app, folder in rooms()
        for path in [folder / "models.py", *(folder / "models").glob("*.py")]
        if path.exists()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and is_model(node)
    }

    printed = run_python(
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'\n"
        "import django; django.setup()\n"
        "from django.apps import apps\n"
        "for m in apps.get_models(): print(m._meta.app_label, m.__name__)"
    )
    known = {tuple(line.split()) for line in printed.splitlines()}

    assert len(written) > 15
    assert written - known == set()


def is_model(node: ast.ClassDef) -> bool:
    """Return whether a class is written as a model with a table: by its base, and not abstract."""
    bases = [ast.unparse(base) for base in node.bases]
    model = any(base.endswith(("Model", "AbstractBaseUser")) for base in bases)
    abstract = any(
        isinstance(inner, ast.ClassDef)
        and inner.name == "Meta"
        and any(ast.unparse(line) == "abstract = True" for line in inner.body)
        for inner in node.body
    )
    return model and not abstract


def test_every_folder_of_code_is_a_package() -> None:
    folders = {path.parent for path in tracked("*.py") if path.parent != ROOT}
    folders |= {
        parent
        for folder in folders
        for parent in folder.parents
        if parent.is_relative_to(ROOT) and parent != ROOT
    }

    assert [str(one) for one in sorted(folders) if not (one / "__init__.py").exists()] == []


# -- the engine ------------------------------------------------------------------------------


def test_the_engine_brings_in_no_framework_and_no_solver() -> None:
    """Beyond what pint takes by itself wherever it finds it; the next test takes that away."""
    by_pint = set(run_python("import sys, pint; print(*sys.modules)").split())
    loaded = set(run_python("import sys, quotes.engine.document; print(*sys.modules)").split())

    heavy = {"django", "celery", "numpy", "scipy", "highspy", "ortools", "config", "jobs", "stock"}
    assert "pint" in loaded
    assert heavy & (loaded - by_pint) == set()


def test_the_engine_answers_where_numpy_is_not_installed() -> None:
    """Pint takes numpy wherever it finds it, so its absence must be shown by refusing it."""
    program = (
        "import sys\n"
        "class Absent:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name.partition('.')[0] in {'numpy', 'scipy'}:\n"
        "            raise ModuleNotFoundError(f'No module named {name!r}', name=name)\n"
        "sys.meta_path.insert(0, Absent())\n"
        "import quotes.engine.document\n"
        "print('numpy' in sys.modules)"
    )

    assert run_python(program).strip() == "False"


def test_the_top_package_of_the_engine_stays_empty() -> None:
    assert (ROOT / "quotes" / "__init__.py").read_text(encoding="utf-8").strip() == ""


# -- what code may not do ------------------------------------------------------------------------

BY_NAME = re.compile(r"\.get_model$")
SIGNALS = re.compile(
    r"(^|\.)(Signal|receiver)$|(_save|_delete|_init|_changed|_migrate|signal)\.(connect|send)$"
)


def calls(source: str, pattern: re.Pattern[str]) -> list[int]:
    """Return the lines in which something is called, or decorates, whose name fits."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and pattern.search(ast.unparse(node.func))
    ]


def places(pattern: re.Pattern[str]) -> list[str]:
    """Return where the program calls what fits."""
    return [
        f"{path.relative_to(ROOT)}:{line}"
        for path in code()
        for line in calls(path.read_text(encoding="utf-8"), pattern)
    ]


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (BY_NAME, "apps.get_model('stock', 'Lot')"),
        (SIGNALS, "done = Signal()"),
        (SIGNALS, "done = django.dispatch.Signal()"),
        (SIGNALS, "@receiver(post_save)\ndef f(**k): ..."),
        (SIGNALS, "post_save.connect(f)"),
        (SIGNALS, "signals.m2m_changed.connect(f)"),
    ],
)
def test_the_search_finds_what_it_forbids(pattern: re.Pattern[str], line: str) -> None:
    assert calls(line, pattern) == [1]


def test_no_model_is_fetched_by_its_name_outside_a_migration() -> None:
    """By name a lower room could reach a higher one unseen."""
    assert places(BY_NAME) == []


def test_rooms_do_not_talk_by_signals() -> None:
    """Only an app's own start may connect, to Django's post_migrate."""
    starts = {f"{app}/apps.py" for app in APPS}

    assert {place.rsplit(":", 1)[0] for place in places(SIGNALS)} <= starts
    for start in starts:
        source = (ROOT / start).read_text(encoding="utf-8")
        other = re.compile(r"(?<!^post_migrate)\.connect$")
        assert calls(source, other) == []
