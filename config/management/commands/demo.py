"""`manage.py demo`: migrate, load the invented firm into an empty database, and serve it."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command

from config.demo.firm import LOG_INS, PASSWORD, clear_half, demo_state, load_firm
from config.demo.serve import firm_name, mail_from, refuse_taken_port, serve
from jobs.kernel.clock import london_day, now
from jobs.kernel.commands import FirmCommand, UnusableInputError, add_day

DEFAULT_PORT = 8000


class Command(FirmCommand):
    help = (
        "Loads an invented firm into an empty database and serves it with worker and beat; "
        "a database that holds the demo is left as it is, any other data is refused."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="print the log-ins and exit")
        parser.add_argument("--port", type=int, default=DEFAULT_PORT)
        add_day(parser, "--on")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 1 <= options["port"] <= 65535:
            raise UnusableInputError("A port is a number from 1 to 65535.")
        if not options["no_serve"]:
            refuse_taken_port(options["port"])
        call_command("migrate", verbosity=0, interactive=False)
        state = demo_state()
        if state == "other":
            raise UnusableInputError(
                "This database holds other data than the demo's. Use another one: set DATABASE_URL "
                "or RESINWRIGHT_VAR to a new place."
            )
        if state == "half":
            self.stdout.write("Loading broke off last time; beginning again.")
            clear_half()
        if state != "demo":
            self.stdout.write("Loading the demo firm …")
            self.stdout.flush()
            # Papers that are made while loading carry the name and address of the firm.
            settings.FIRM_NAME, settings.DEFAULT_FROM_EMAIL = firm_name(), mail_from()
            load_firm(on=options["on"] or london_day(now()))
        self._print_log_ins(options["port"], serving=not options["no_serve"])
        if not options["no_serve"]:
            code = serve(options["port"])
            if code:
                raise UnusableInputError("The web server stopped; see what it printed above.")

    def _print_log_ins(self, port: int, *, serving: bool) -> None:
        lines = ["", f"Everybody's password: {PASSWORD}", ""]
        width = max(len(person.email) for person in LOG_INS)
        lines += [f"  {person.email:<{width}}  {person.words}" for person in LOG_INS]
        if serving:
            lines += ["", f"Open http://127.0.0.1:{port}/ in a browser. Ctrl-C ends the demo.", ""]
        self.stdout.write("\n".join(lines))
        self.stdout.flush()
