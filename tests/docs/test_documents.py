"""The pages for readers are true: commands, settings, targets, paths, log-ins and links exist."""

from __future__ import annotations

import argparse
import re
import subprocess
import tomllib
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

from config.demo.staff import LOG_INS, PASSWORD
from jobs.accounts.rules import ROLE_NAMES
from tests.architecture.tree import APPS, ROOT, rooms, tracked

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CHANGELOG = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
DECISIONS = sorted((ROOT / "docs" / "decisions").glob("*.md"))
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "CHANGELOG.md", *DECISIONS]
COMMAND_ROW = re.compile(r"^\| `(\w+)( [^`]*)?` \|", re.MULTILINE)
OURS = {*APPS, "config"}


def code_of(page: str) -> set[str]:
    """Return what stands between single backticks, tables and text alike."""
    return set(re.findall(r"`([^`\n]+)`", page))


def own_commands() -> dict[str, argparse.ArgumentParser]:
    """Return our commands with their parsers."""
    return {
        name: load_command_class(app, name).create_parser("manage.py", name)
        for name, app in get_commands().items()
        if app in OURS
    }


def own_options(parser: argparse.ArgumentParser) -> set[str]:
    """Return the options that a command adds to Django's own."""
    plain = {"--help", "--version", "--verbosity", "--settings", "--pythonpath", "--traceback",
             "--no-color", "--force-color", "--skip-checks"}  # fmt: skip
    every = {option for action in parser._actions for option in action.option_strings}
    return {option for option in every if option.startswith("--")} - plain


# -- README ------------------------------------------------------------------------------------


def test_the_readme_lists_the_commands_that_there_are_with_their_options() -> None:
    listed = {
        name: set(re.findall(r"--[a-z-]+", rest)) for name, rest in COMMAND_ROW.findall(README)
    }

    assert listed == {name: own_options(parser) for name, parser in own_commands().items()}


def test_the_readme_names_every_setting_and_no_other() -> None:
    text = (ROOT / ".env.example").read_text(encoding="utf-8")
    settings = set(re.findall(r"^([A-Z_]+)=", text, re.MULTILINE))
    named = {word for word in code_of(README) if re.fullmatch(r"[A-Z]+(_[A-Z]+)+", word)}

    assert named - {"NAME_FILE"} == settings
    assert "[.env.example](.env.example)" in README


def test_the_log_ins_are_those_of_the_demo() -> None:
    listed = re.findall(r"^\| (\S+@\S+) \| ([\w ]+) \|", README, re.MULTILINE)

    assert listed == [(person.email, ROLE_NAMES[person.role].lower()) for person in LOG_INS]
    assert PASSWORD in code_of(README)


def test_the_job_comes_first_in_one_paragraph_and_then_the_two_commands() -> None:
    parts = [part for part in README.split("\n\n") if part.strip()]

    assert parts[0] == "# Resinwright"
    assert parts[1].startswith("Resinwright runs the work of a small firm")
    assert README.index("## Start") < README.index("make demo") < README.index("make test")
    assert README.index("make test") < README.index("## The way data goes")


def test_the_image_is_said_not_to_have_been_built() -> None:
    assert "The image itself was not built where this was developed" in README


def test_speed_is_quoted_for_what_is_measured_and_with_its_targets() -> None:
    speed = README.partition("## Speed")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", speed, re.MULTILINE)[1:]
    text = (ROOT / "tests" / "bench" / "targets.toml").read_text(encoding="utf-8")
    targets = {target["name"] for target in tomllib.loads(text)["target"]}

    assert len(rows) >= 5
    assert {name for name, _, _ in rows} <= targets
    assert "make bench" in speed


# -- what every page names ----------------------------------------------------------------------


def test_the_make_targets_are_those_of_the_makefile() -> None:
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", text, re.MULTILINE))
    named = set(re.findall(r"(?:^    |`)make ([a-z]+)", README + DEVELOPERS, re.MULTILINE))

    assert named <= targets
    assert named >= targets - {"help", "clean"}
    assert set(re.findall(r'"make ([a-z]+)', text)) == targets - {"help"}


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_links_and_paths_lead_somewhere(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", page) if "://" not in link]
    paths = [
        word
        for word in code_of(page)
        if re.fullmatch(r"\.?[\w-]+(/[\w.-]+)*/?(\.\w+)?", word)
        and (word.split("/")[0] in {"docs", "tests", "scripts", "templates", "config", *APPS})
        and "/" in word
        and not re.search(r"[A-Z]{2,}", word)
    ]

    missing = [link for link in links if not (path.parent / link).exists()]
    missing += [word for word in paths if not (ROOT / word).exists()]
    assert missing == []


def test_the_rooms_that_developers_are_told_of_are_those_there_are() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (.+) \|$", DEVELOPERS, re.MULTILINE)
    told = {
        (app, room)
        for app, words in rows
        if app in APPS
        for room in re.sub(r"\([^)]*\)", "", words).replace(" ", "").split(",")
    }

    assert told == {(app, folder.name) for app, folder in rooms()}


def test_functions_and_classes_that_developers_are_told_of_exist() -> None:
    names = {
        word
        for word in code_of(DEVELOPERS)
        if re.fullmatch(r"[A-Z][a-z]+([A-Z][a-z]+)+|[a-z]+(_[a-z]+)+", word)
    }
    code = "".join(path.read_text(encoding="utf-8") for path in tracked("*.py", "pyproject.toml"))

    assert len(names) > 10
    assert [name for name in sorted(names) if not re.search(rf"\b{name}\b", code)] == []


# -- change log, decisions, words ----------------------------------------------------------------


def test_the_change_log_begins_with_what_is_not_released() -> None:
    heads = re.findall(r"^## (.+)$", CHANGELOG, re.MULTILINE)

    assert heads[0] == "Unreleased"
    assert all(re.fullmatch(r"\d+\.\d+\.\d+ \(\d{4}-\d{2}-\d{2}\)", head) for head in heads[1:])


def test_decisions_are_numbered_without_a_gap_and_say_why() -> None:
    assert [int(path.name[:4]) for path in DECISIONS] == list(range(1, len(DECISIONS) + 1))
    for path in DECISIONS:
        page = path.read_text(encoding="utf-8")
        assert page.startswith(f"# {int(path.name[:4])}. ")
        order = [page.find(f"**{part}.**") for part in ("Context", "Decision", "Rejected")]
        assert -1 not in order, path.name
        assert order == sorted(order)


# The project speaks of itself, never of how it came to be. A ~ parts each word, so that this file
# does not hold it.
WORDS = r"""
    \bissues?\s#?\d  #\d+\b  \bissue\s~tracker\b  \b(?:this|each|last|next|another)\sses~sion\b
    \bhelp~ers?\b  \bthe\sbr~ief\b  \bprom~pts?\b  \bag~ents?\b  \bintegr~ator\b
    \bStage\s[AB]\b  \bseed\sdoc~ument\b
"""
FOLDERS = "/wo~rk/(?:main|shared|notes)  /ro~ot/  /ho~me/(?!resinwright)"
OWN_FOLDERS = re.compile("|".join(FOLDERS.replace("~", "").split()))
WORKPLACE = re.compile("|".join([*WORDS.replace("~", "").split(), OWN_FOLDERS.pattern]))


@pytest.mark.parametrize(
    "line",
    ["as issue 12 says", "see #4", "this ses~sion", "a help~er wrote", "/wo~rk/main/x", "/ro~ot/x"],
)
def test_the_search_for_words_of_a_workplace_finds_them(line: str) -> None:
    assert WORKPLACE.search(line.replace("~", ""))


def test_the_trades_own_words_are_no_words_of_a_workplace() -> None:
    for line in ("issue moves stock to the site", "a lay session", "sessions are whole", "2 mm"):
        assert not WORKPLACE.search(line)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_the_pages_speak_of_the_project_only(path: Path) -> None:
    found = WORKPLACE.findall(path.read_text(encoding="utf-8"))
    assert found == []


def test_no_file_names_a_path_of_a_machine() -> None:
    """Folders of somebody's own machine, in any text that git knows."""
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True)
    found = []
    for name in done.stdout.decode().split("\0"):
        path = ROOT / name
        if name and path.is_file():
            text = path.read_bytes().decode("utf-8", "replace")
            found += [name] if OWN_FOLDERS.search(text) else []

    assert found == []
