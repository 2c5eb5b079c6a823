"""Typed readers of the environment: every setting that a firm may change comes through here.

Each reader refuses what it cannot use with a sentence that names the variable, so that a slip in
`.env` stops the start instead of showing itself on a lay day.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE = {"1", "true", "yes", "on"}
FALSE = {"0", "false", "no", "off", ""}


def text(name: str, default: str = "") -> str:
    """Return the variable's text, or what the file named by NAME_FILE holds; blank is as unset."""
    file = os.environ.get(f"{name}_FILE", "")
    if file:
        try:
            return Path(file).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise ImproperlyConfigured(
                f"{name}_FILE names a file that cannot be read: {error}."
            ) from error
    return os.environ.get(name, "").strip() or default


def flag(name: str, *, default: bool = False) -> bool:
    """Return a yes or no; anything but 1/0, true/false, yes/no, on/off is refused."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    word = raw.strip().lower()
    if word in TRUE:
        return True
    if word in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} is '{raw}'; give 1 or 0 (or true/false, yes/no, on/off).")


def whole(name: str, default: int, *, least: int = 0) -> int:
    """Return a whole number of at least `least`."""
    raw = os.environ.get(name)
    if raw is None or not raw.strip():
        return default
    try:
        value = int(raw)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} is '{raw}'; give a whole number.") from error
    if value < least:
        raise ImproperlyConfigured(f"{name} is {value}; it must be at least {least}.")
    return value


def words(name: str, default: tuple[str, ...] = ()) -> list[str]:
    """Return a comma-separated list, blanks left out."""
    raw = os.environ.get(name)
    if raw is None:
        return list(default)
    return [word.strip() for word in raw.split(",") if word.strip()]


def secret(name: str, *, production: bool, fallback: Path) -> str:
    """Return the secret; in production it must be set, elsewhere `fallback` keeps a random one."""
    value = text(name)
    if value:
        if production and len(value) < 32:
            raise ImproperlyConfigured(f"{name} is too short: give at least 32 characters.")
        return value
    if production:
        raise ImproperlyConfigured(
            f"{name} is not set. Set {name} or {name}_FILE, then start again."
        )
    try:
        return fallback.read_text(encoding="utf-8").strip()
    except FileNotFoundError:
        pass
    fallback.parent.mkdir(parents=True, exist_ok=True)
    value = secrets.token_urlsafe(50)
    try:
        # Exclusive creation: two first commands at once must agree on one secret.
        with fallback.open("x", encoding="utf-8") as file:
            fallback.chmod(0o600)
            file.write(value)
    except FileExistsError:
        return fallback.read_text(encoding="utf-8").strip()
    return value
