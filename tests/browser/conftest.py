"""A browser for the tests of this folder; they run apart from the others.

Playwright's loop stays in the thread, which Django takes for an async caller: the variable that
allows it is set only while the browser is open.
"""

from __future__ import annotations

import os
from collections.abc import Generator
from typing import Any

import pytest

from tests.environment import CHROMIUM

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
]


@pytest.fixture(scope="session")
def browser() -> Generator[Any]:
    """One headless Chromium for the whole run; each test opens contexts of its own."""
    from playwright.sync_api import sync_playwright

    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    try:
        with sync_playwright() as play:
            chromium = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            yield chromium
            chromium.close()
    finally:
        os.environ.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)
