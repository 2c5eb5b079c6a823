"""What axe says of a page: nothing serious or critical may be left."""

from __future__ import annotations

from typing import Any

GRAVE = {"serious", "critical"}


def serious_findings(page: Any) -> list[str]:
    """Return axe's serious and critical findings of the page as it stands.

    axe-core stands for what a machine can test of WCAG 2.
    """
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        f"{each['id']}: {node['html'][:160]}"
        for each in found
        if each["impact"] in GRAVE
        for node in each["nodes"][:3]
    ]
