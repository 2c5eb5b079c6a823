"""Templates keep to the strict policy and to their layer; nothing comes from another's server."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

from tests.architecture.tree import APPS, ROOT, rooms, tracked

# -- templates -------------------------------------------------------------------------------

INLINE = {
    "style=": re.compile(r"<[^>]*\sstyle\s*=", re.IGNORECASE),
    "hx-on": re.compile(r"\s(data-)?hx-on[:\w-]*\s*=", re.IGNORECASE),
    "onclick= and its like": re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE),
    "<style>": re.compile(r"<style\b", re.IGNORECASE),
    "inline script": re.compile(r"<script\b(?![^>]*\bsrc=)", re.IGNORECASE),
    "javascript: address": re.compile(r"javascript:", re.IGNORECASE),
}
# A PDF is drawn by WeasyPrint, which runs no policy; its page size may stand in the file.
PDF_TEMPLATES = ("quotes/documents/pdf", "documents/pdf")


def templates() -> list[Path]:
    return sorted(path for path in (ROOT / "templates").rglob("*") if path.suffix == ".html")


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("style=", '<p class="a" style="color: red">'),
        ("hx-on", '<button hx-on:click="go()">'),
        ("hx-on", '<button hx-on--after-swap="go()">'),
        ("onclick= and its like", "<a href='#' onclick='go()'>"),
        ("<style>", "<style media='print'>p {}</style>"),
        ("inline script", "<script>go()</script>"),
        ("javascript: address", '<a href="javascript:go()">'),
    ],
)
def test_each_rule_finds_what_it_forbids(rule: str, text: str) -> None:
    assert INLINE[rule].search(text)
    assert not any(
        other.search('<script src="/a.js" defer></script><p data-onset="1">')
        for other in INLINE.values()
    )


def test_no_template_has_inline_script_or_style() -> None:
    found = [
        f"{path.relative_to(ROOT)}: {rule}"
        for path in templates()
        if not any(part in str(path) for part in PDF_TEMPLATES)
        for rule, pattern in INLINE.items()
        if pattern.search(path.read_text(encoding="utf-8"))
    ]

    assert found == []


def test_a_template_includes_and_links_only_its_own_or_a_lower_app() -> None:
    places_of = {f"{folder.name}": app for app, folder in rooms()}
    found = []
    for path in templates():
        app = path.relative_to(ROOT / "templates").parts[0]
        if app not in APPS:
            continue
        text = path.read_text(encoding="utf-8")
        named = re.findall(r"{%\s*(?:include|extends)\s+[\"'](jobs|stock|quotes)/", text)
        named += [places_of.get(room, app) for room in re.findall(r"{%\s*url\s+[\"'](\w+):", text)]
        found += [
            f"{path.relative_to(ROOT)}: {other}"
            for other in named
            if APPS.index(other) > APPS.index(app)
        ]

    assert found == []


# -- hosts -----------------------------------------------------------------------------------

# Hosts of package registries and of networks that serve other people's scripts, as digests, so that
# this file does not name them. Each is what stands before the first slash, or its last two parts.
DIGESTS = """
    a4aa2ac280bb8d1a0ce7 d6d7019ca9fcbf07c769 c899567ee906851741bf 8b5bb5eb9d758455b863
    0dc11026ac75c015aaa1 8743857e3ea00fd1c64b 3ca29e55be4befa48f87 87d14f070cb9686970d0
    e680c440a2e92079ab1b 75adac515f0bd3db64be 1ba4e37997a2e986efa6 00a7dc5a0cc388586b86
    789e46d79514e28093ca 71741fe2460a61505868 9c6b05022d03bb0559d8 e2dd3580aeebec6412c0
    901e094d4cd2ee70ae27 067a3ff791863417522f 519db4ade9501a4f898e b62811dc099c200b5276
    39e9d0695b2e309bd21f c02af9ebe38ef605d010 f6f372f868cf5e20e9fc 394bc662b64ea8fc3b2d
    47a14d7762ffcfdc01b3 0fd460f0568e29c129d5 3530c4415dd857fb74a5 271dacc9f4d0caf8ff70
    70cca582c4895337b234
"""
REFUSED_HOSTS = set(DIGESTS.split())
HOST = re.compile(r"[a-z0-9-]+(?:\.[a-z0-9-]+)+")
ADDRESS = re.compile(r"https?://([a-z0-9.-]+)", re.IGNORECASE)


def names_a_refused_host(line: str) -> bool:
    for host in HOST.findall(line.lower()):
        ends = (host, ".".join(host.split(".")[-2:]))
        if any(hashlib.sha256(end.encode()).hexdigest()[:20] in REFUSED_HOSTS for end in ends):
            return True
    return False


def test_no_file_names_a_registry_or_a_network_of_scripts() -> None:
    found = []
    for path in tracked():
        data = path.read_bytes()
        if b"\0" not in data:
            lines = data.decode("utf-8", "replace").splitlines()
            found += [
                f"{path.relative_to(ROOT)}:{number}"
                for number, line in enumerate(lines, 1)
                if names_a_refused_host(line)
            ]

    assert found == []


@pytest.mark.parametrize("name", ["jsdeli{}r.net", "cdn.JSDELI{}R.net", "registry.npm{}s.org"])
def test_the_search_for_hosts_finds_one(name: str) -> None:
    # Written in two parts, so that this file passes its own test.
    host = name.format("v" if "eli" in name.lower() else "j")

    assert names_a_refused_host(f'<script src="https://{host}/a.js">')
    assert not names_a_refused_host("see yard.example.com/a.js")


def test_pages_load_nothing_from_outside() -> None:
    """In templates and static files an address is ours, reserved for examples, or a namespace."""
    ours = re.compile(r"^(www\.w3\.org|127\.0\.0\.1|localhost|([\w-]+\.)*example(\.com|\.org)?)$")
    files = templates()
    files += [
        path
        for path in tracked("config/static/*", "*/static/*")
        if path.suffix in {".css", ".js", ".svg"}
    ]
    found = [
        f"{path.relative_to(ROOT)}: {host}"
        for path in files
        for host in ADDRESS.findall(path.read_text(encoding="utf-8"))
        if not ours.match(host)
    ]

    assert found == []


def test_the_locks_hold_no_address() -> None:
    for name in ("requirements.txt", "requirements-dev.txt"):
        text = (ROOT / name).read_text(encoding="utf-8")
        assert "://" not in text
        assert not re.search(r"^\s*(-i|--(extra-)?index-url|--find-links)", text, re.MULTILINE)
