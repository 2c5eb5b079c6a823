"""Mail for a firm without a mail server yet: each message is a file under var/mail."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

from jobs.kernel.clock import now


class EmailBackend(BaseEmailBackend):
    """Writes one .eml file a message, whole or not at all."""

    def open(self) -> bool:
        Path(settings.EMAIL_FILE_PATH).mkdir(parents=True, exist_ok=True)
        return True

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        self.open()
        folder = Path(settings.EMAIL_FILE_PATH)
        for mail in email_messages:
            name = str(mail.extra_headers.get("Message-ID", "")).strip("<>").partition("@")[0]
            stem = f"{now():%Y%m%d-%H%M%S}-{name or id(mail)}"
            part = folder / f".{stem}.part"
            part.write_bytes(mail.message().as_bytes())
            # The rename makes the file appear whole: a reader never sees half a message.
            part.rename(folder / f"{stem}.eml")
        return len(email_messages)
