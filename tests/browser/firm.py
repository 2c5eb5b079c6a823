"""The running program for the walk: the demo as `make demo` starts it, in folders of its own."""

from __future__ import annotations

import email
import email.policy
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from tests.browser.checks import serious_findings

ROOT = Path(__file__).resolve().parents[2]
PASSWORD = "demo-field-book"
PEOPLE = {
    "owner": "iris", "office": "joan", "storeman": "davit", "accountant": "pia", "crew": "rory",
}  # fmt: skip
PATIENCE = 600


@dataclass
class Firm:
    """A demo that runs: where, and where its mail lands."""

    base: str
    var: Path
    shots: Path
    # Pages that axe has looked at, figures and tokens of the address left out.
    met: set[str] = field(default_factory=set)

    def mails(self) -> list[email.message.EmailMessage]:
        """Return the mails in var/mail, oldest first."""
        files = sorted((self.var / "mail").glob("*.eml"))
        parse = email.message_from_bytes
        return [parse(file.read_bytes(), policy=email.policy.default) for file in files]

    def wait_for_mail(self, to: str, words: str, seconds: float = 120) -> str:
        """Return the text of the newest mail to somebody that holds the words; wait for it."""
        end = time.monotonic() + seconds
        while True:
            for mail in reversed(self.mails()):
                body = mail.get_body(("plain",))
                text = body.get_content() if body else ""
                if to in str(mail["To"]) and (words in text or words in str(mail["Subject"])):
                    return text
            if time.monotonic() > end:
                log = (self.var / "worker.log").read_text(errors="replace")[-2000:]
                raise AssertionError(f"no mail to {to} with '{words}' in {seconds} s\n{log}")
            time.sleep(0.5)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def own_database(var: Path) -> str:
    """Return an address of an empty database: SQLite in `var`, or a new one on PostgreSQL."""
    url = os.environ.get("DATABASE_URL", "")
    if not url.startswith("postgres"):
        return f"sqlite:///{var / 'walk.sqlite3'}"
    import psycopg

    name = f"walk_{os.getpid()}"
    parts = re.fullmatch(r"(\w+://[^/]*/)([^?]*)(\?.*)?", url)
    assert parts is not None
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}"')
        connection.execute(f'CREATE DATABASE "{name}"')
    return f"{parts[1]}{name}{parts[3] or ''}"


@contextmanager
def running_demo(var: Path, shots: Path) -> Iterator[Firm]:
    """Start `manage.py demo` and end it like Ctrl-C does."""
    port = free_port()
    unwanted = ("RESINWRIGHT", "DISPLAY", "EMAIL")
    environment = {k: v for k, v in os.environ.items() if not k.startswith(unwanted)}
    environment |= {
        "RESINWRIGHT_VAR": str(var), "DATABASE_URL": own_database(var),
        "RESINWRIGHT_SWEEP_SECONDS": "10", "PYTHONUNBUFFERED": "1",
    }  # fmt: skip
    output = (var / "demo.log").open("wb")
    command = [sys.executable, "manage.py", "demo", "--port", str(port)]
    demo = subprocess.Popen(
        command, cwd=ROOT, env=environment, stdout=output, stderr=subprocess.STDOUT
    )
    base = f"http://127.0.0.1:{port}"
    try:
        _wait_until_up(base, demo, var / "demo.log")
        yield Firm(base, var, shots)
    finally:
        demo.send_signal(signal.SIGINT)
        try:
            demo.wait(30)
        except subprocess.TimeoutExpired:
            demo.kill()
        output.close()


def _wait_until_up(base: str, demo: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        if demo.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{base}/healthz", timeout=5) as answer:
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(0.5)
    raise AssertionError(f"the demo did not come up:\n{log.read_text(errors='replace')}")


class Visitor:
    """Somebody at a browser: goes to pages, fills forms, presses buttons; every page is checked."""

    def __init__(self, firm: Firm, page: Page, name: str) -> None:
        self.firm, self.page, self.name = firm, page, name
        self.shot = 0
        self.trouble: list[str] = []
        page.set_default_timeout(60_000)
        page.on("console", self._note)
        page.on("pageerror", lambda error: self.trouble.append(str(error)))

    def _note(self, message: Any) -> None:
        # A refused form answers 422 on purpose, and the browser says so in red.
        if message.type == "error" and "422" not in message.text:
            self.trouble.append(message.text)

    def log_in(self, role: str) -> Visitor:
        self.page.goto(f"{self.firm.base}/accounts/login/")
        self.page.get_by_label("E-mail").fill(f"{PEOPLE[role]}@tarnholt.example")
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.locator("main button[type=submit]").click()
        self.page.wait_for_url("**/today/")
        return self

    def go(self, path: str) -> Visitor:
        """Open a page of ours; it must be there."""
        answer = self.page.goto(path if path.startswith("http") else f"{self.firm.base}{path}")
        assert answer is not None
        assert answer.ok, f"{path}: {answer.status}"
        return self.meet()

    def meet(self) -> Visitor:
        """Let axe look at a page that the walk has not met yet, in both schemes."""
        path = self.page.url.removeprefix(self.firm.base).partition("?")[0]
        page = re.sub(r"\d[\d-]*|[\w-]{40,}", "N", path)
        if page not in self.firm.met and not path.endswith("pdf/"):
            self.firm.met.add(page)
            for scheme in ("dark", "light"):
                self.page.emulate_media(color_scheme=scheme)
                assert serious_findings(self.page) == [], f"{path} in {scheme}"
        return self

    def fill(self, **values: str) -> Visitor:
        """Fill fields by their names; a choice by its label or value."""
        for name, value in values.items():
            field = self.page.locator(f"main [name='{name}']").first
            if field.evaluate("e => e.tagName") == "SELECT":
                field.select_option(label=value)
            else:
                field.fill(value)
        return self

    def tick(self, label: str) -> Visitor:
        self.page.get_by_label(label, exact=False).first.check()
        return self

    def press(self, words: str) -> Visitor:
        """Press the button, or follow the link that looks like one."""
        button = self.page.get_by_role("button", name=words)
        if button.count() == 0:
            button = self.page.get_by_role("link", name=words)
        button.first.click()
        return self.settled()

    def settled(self) -> Visitor:
        """Wait until nothing is on its way: neither a page nor a fragment."""
        self.page.wait_for_load_state("networkidle")
        self.page.wait_for_function(
            "() => !document.querySelector('.htmx-request')"
            " && ![...document.querySelectorAll('button')]"
            ".some(b => b.innerText.trim().startsWith('Sending'))"
        )
        self.page.wait_for_load_state("networkidle")
        return self.meet()

    def sees(self, *words: str) -> Visitor:
        text = self.text
        for piece in words:
            assert piece in text, f"'{piece}' is not on {self.page.url}:\n{text[:3000]}"
        return self

    def sees_not(self, *words: str) -> Visitor:
        for piece in words:
            assert piece not in self.text, f"'{piece}' is on {self.page.url}"
        return self

    @property
    def text(self) -> str:
        """The page's words, no-break spaces as plain ones."""
        return self.page.locator("body").inner_text().replace("\u00a0", " ").replace("\u202f", " ")

    def check(self, what: str) -> Visitor:
        """Keep a picture in both schemes, and let axe look at both."""
        for scheme in ("light", "dark"):
            self.page.emulate_media(color_scheme=scheme)
            assert serious_findings(self.page) == [], f"{what} in {scheme}: {self.page.url}"
            self.page.screenshot(
                path=self.firm.shots / f"{self.name}-{self.shot:02d}-{what}-{scheme}.png",
                full_page=True,
            )
        self.page.emulate_media(color_scheme="light")
        self.shot += 1
        wide = self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wide <= 0, f"{what} is {wide} px wider than the screen"
        return self

    def number_in_url(self) -> int:
        """Return the number of the row that the page is about."""
        found = re.findall(r"/(\d+)/", self.page.url)
        return int(found[-1])
