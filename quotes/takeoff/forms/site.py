"""How the crew works and how warm the kits are: asked, not kept."""

from __future__ import annotations

from django import forms

from quotes.engine.pace import Crew
from quotes.takeoff.forms.asking import number
from quotes.takeoff.rules.site import KitStay, WorkingDay

MANY = 20


def count(label: str, initial: int, most: int = MANY) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=1, max_value=most, initial=initial,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "short"}),
    )  # fmt: skip


class PaceForm(forms.Form):
    """Mixers, barrows, hands and their times; the first values are common practice, no source."""

    mixers = count("mixers", 1)
    mixing = number("mixing a mix", 60, 1800, 120.0, unit="s")
    loading = number("filling and emptying", 0, 3600, 120.0, unit="s")
    barrows = count("barrows", 2)
    barrow_runs = count("barrow loads a mix", 2)
    barrow_run = number("a barrow load, there and back", 5, 3600, 90.0, unit="s")
    hands = count("trowel hands", 2)
    trowelling = number("trowelling a mix, one hand", 30, 14_400, 900.0, unit="s")
    hours = number("hours of laying a day", 0.1, 16, 6.0, unit="h")
    lane_length = number("length of a lane", 0.2, 200, 4.0, unit="m")
    lane_width = number("width of a lane", 0.2, 20, 1.5, unit="m")
    turning = number("lost between lanes", 0, 120, 2.0, unit="min")
    back_and_forth = forms.BooleanField(label="laid back and forth", required=False)

    @property
    def day(self) -> WorkingDay:
        """What was asked, in SI."""
        c = self.cleaned_data
        crew = Crew(
            c["mixers"], c["mixing"], c["loading"], c["barrows"], c["barrow_run"],
            c["barrow_runs"], c["hands"], c["trowelling"],
        )  # fmt: skip
        return WorkingDay(
            crew, c["hours"], c["lane_length"], c["lane_width"], c["back_and_forth"],
            60 * c["turning"],
        )  # fmt: skip


class KitForm(forms.Form):
    """A kit from the van or the yard in a hot or cold store, and the mix that it makes."""

    kit = number("kits now", -30, 60, 8.0, unit="°C")
    store = number("where they stand", -30, 60, 20.0, unit="°C")
    stay = number("they stand there for", 0, 240, 12.0, unit="h")
    wanted = number("wanted", -30, 60, 18.0, unit="°C")
    stone = number("stone and fillers", -30, 60, 12.0, unit="°C")
    drum = number("drum", -30, 60, 12.0, unit="°C")
    drum_kg = number("mass of the drum", 1, 500, 40.0, unit="kg")
    base = number("base it is spread on", -30, 60, 12.0, unit="°C")
    heap = number("in drum and barrow, from the end of mixing", 0, 120, 4.0, unit="min")

    @property
    def asked_for(self) -> KitStay:
        """What was asked, times in s."""
        c = self.cleaned_data
        return KitStay(
            c["kit"], c["store"], 3600 * c["stay"], c["wanted"], c["stone"], c["drum"],
            c["drum_kg"], c["base"], 60 * c["heap"],
        )  # fmt: skip
