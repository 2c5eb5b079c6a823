from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.test import Client, override_settings

TEMPLATES = Path(django_settings.BASE_DIR) / "templates"
CSS = Path(django_settings.BASE_DIR) / "config" / "static" / "css" / "app.css"
# What other elements or every page bring in by themselves.
BROUGHT_BY_OTHERS = {"filter.html", "messages.html"}


@pytest.fixture(scope="module")
def page() -> str:
    response = Client().get("/style/")
    assert response.status_code == 200
    return response.content.decode()


def test_style_page_shows_every_element_once_at_least() -> None:
    source = (TEMPLATES / "style.html").read_text()
    elements = {path.name for path in (TEMPLATES / "elements").iterdir()} - BROUGHT_BY_OTHERS
    shown = set(re.findall(r'elements/(\w+\.html)"', source))
    assert elements == shown


def test_page_holds_no_inline_script_or_style(page: str) -> None:
    assert re.findall(r"<style|\sstyle=|\son\w+=|javascript:|hx-on", page) == []
    assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []


def test_page_reaches_for_nothing_elsewhere(page: str) -> None:
    outside = [url for url in re.findall(r'(?:src|href)="([^"]+)"', page) if "//" in url]
    assert outside == []


def test_policy_forbids_what_the_pages_do_without() -> None:
    policy = Client().get("/style/")["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe-inline" not in policy


def test_no_template_has_inline_script_or_style() -> None:
    found = [
        path.relative_to(TEMPLATES).as_posix()
        for path in TEMPLATES.rglob("*.html")
        if "documents" not in path.parts  # drawn to PDF, which knows no policy
        and re.search(r"<style|\sstyle=|\son[a-z]+=|hx-on|<script(?![^>]*\bsrc=)", path.read_text())
    ]
    assert found == []


def test_ids_are_unique(page: str) -> None:
    # The two sample forms are apart by their prefix.
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert sorted(ids) == sorted(set(ids))


def test_fields_point_to_their_help_and_error(page: str) -> None:
    ids = set(re.findall(r'\sid="([^"]+)"', page))
    described = [
        name for group in re.findall(r'aria-describedby="([^"]+)"', page) for name in group.split()
    ]
    labelled = re.findall(r'<label[^>]* for="([^"]+)"', page)
    jumps = re.findall(r'<li><a href="#(id_[^"]+)"', page)
    assert {"id_name_error", "id_name_helptext"} <= set(described)
    assert len(jumps) == 6
    assert set(described) | set(labelled) | set(jumps) <= ids


def colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block))


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", [0, 1])
def test_contrast_reaches_aa_in_both_schemes(scheme: int) -> None:
    # WCAG 2.2, 1.4.3: 4.5 for text; 1.4.11: 3 for the bounds of controls and the focus ring.
    blocks = re.findall(r":root \{(.*?)\}", CSS.read_text(), re.DOTALL)
    tokens = colours(blocks[scheme])
    for word in ("ink", "soft", "accent", "ok", "look"):
        for ground in ("paper", "wash"):
            assert contrast(tokens[word], tokens[ground]) >= 4.5, (word, ground)
    assert contrast(tokens["field-rule"], tokens["field"]) >= 3
    assert contrast(tokens["paper"], tokens["ink"]) >= 7


def test_contrast_formula_agrees_with_the_standards_ends() -> None:
    # WCAG 2.2: black on white is 21 to 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def test_style_page_is_only_there_when_asked_for() -> None:
    import importlib

    from config import urls

    try:
        with override_settings(STYLE_PAGE=False):
            names = [getattr(entry, "name", None) for entry in importlib.reload(urls).urlpatterns]
        assert "style" not in names
    finally:
        importlib.reload(urls)
