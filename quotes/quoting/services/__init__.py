"""Writing quotes: drafting from a survey, changing lines and terms, sending, answering."""

from quotes.quoting.services.agreeing import post_needs_once
from quotes.quoting.services.asking import add_asked_line, change_asked_line
from quotes.quoting.services.drafting import reprice, revise, start_quote
from quotes.quoting.services.lines import add_line, change_line, move_line, remove_line
from quotes.quoting.services.sending import post_answer, send_revision
from quotes.quoting.services.stages import choose_ready_plan, plan_payment
from quotes.quoting.services.terms import (
    attach_vat_document,
    change_terms,
    change_words,
    note_sample,
    reverse_overlooked,
)

__all__ = [
    "add_asked_line", "add_line", "attach_vat_document", "change_asked_line", "change_line",
    "change_terms", "change_words", "choose_ready_plan", "move_line", "note_sample",
    "plan_payment", "post_answer", "post_needs_once", "remove_line", "reprice",
    "reverse_overlooked", "revise", "send_revision", "start_quote",
]  # fmt: skip
