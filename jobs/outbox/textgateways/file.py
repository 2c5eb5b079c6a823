"""Texts for a firm without a gateway yet: each one is a file under var/texts."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings

from jobs.kernel.clock import now


class Gateway:
    """Writes one .json file a text, whole or not at all."""

    def send(self, to: str, text: str, message_id: str) -> str:
        """Write the text; the file's name is the reference."""
        folder = Path(settings.TEXT_FILE_PATH)
        folder.mkdir(parents=True, exist_ok=True)
        stem = f"{now():%Y%m%d-%H%M%S}-{message_id}"
        part = folder / f".{stem}.part"
        kept = {"to": to, "text": text, "id": message_id}
        part.write_text(json.dumps(kept, ensure_ascii=False, indent=1), encoding="utf-8")
        # The rename makes the file appear whole, as mail in files does.
        part.rename(folder / f"{stem}.json")
        return f"{stem}.json"
