"""Reckoning of variations without rows: parts of agreed lines, sums, stakes, the sheet."""

from quotes.variations.rules.asking import consents_for
from quotes.variations.rules.buying import beside, left_over
from quotes.variations.rules.days import DaysDue, days_due, days_in_words
from quotes.variations.rules.parts import Part, part_of, share_between
from quotes.variations.rules.reckoning import Counted, Priced, Reckoning, count_in, reckon
from quotes.variations.rules.sheet import ChangedLine, VariationSheet
from quotes.variations.rules.stakes import Held, Stake, stake

__all__ = [
    "ChangedLine", "Counted", "DaysDue", "Held", "Part", "Priced", "Reckoning", "Stake",
    "VariationSheet", "beside", "consents_for", "count_in", "days_due", "days_in_words",
    "left_over", "part_of", "reckon", "share_between", "stake",
]  # fmt: skip
