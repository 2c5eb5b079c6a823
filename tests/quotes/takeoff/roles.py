"""Who may see take-offs and choose blends."""

from __future__ import annotations

from tests.quotes.world import make_quote_world
from tests.role_rows import Row, World, only


def survey() -> World:
    world = make_quote_world()
    data = {
        f"g{world.group.pk}": world.blend.pk, "waste_percent": "5", "air_c": "15",
        "spare_mixes": "1",
    }  # fmt: skip
    return World({"pk": world.survey.pk}, data)


def planning() -> World:
    answers = dict.fromkeys(
        ("house", "listed", "article_4", "dropped_kerb", "porous_below", "drains_on_plot"), "no"
    )
    world = make_quote_world()
    return World({"pk": world.survey.pk}, answers | {"nation": "england", "front_m2": "12"})


def missing() -> World:
    return World({"pk": 999_999})


SEE = ("owner", "office", "storeman")
WRITE = ("owner", "office")
ANSWERS = ("quotes.PlanningAnswers",)
TABLES = ("quotes.BlendChoice", "quotes.TakeOffSettings")
LOOK = ("owner", "office", "storeman", "accountant", "crew")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("takeoff:detail", "GET", only(*SEE), survey),
    Row("takeoff:detail", "GET", GONE, missing, "other"),
    Row("takeoff:workings", "GET", only(*SEE), survey),
    Row("takeoff:workings", "GET", GONE, missing, "other"),
    Row("takeoff:blends", "GET", only(*WRITE), survey),
    Row("takeoff:blends", "POST", only(*WRITE, status=302), survey, models=TABLES),
    Row("takeoff:blends", "POST", GONE, missing, "other", TABLES),
    Row("takeoff:planning", "GET", only(*WRITE), survey),
    Row("takeoff:planning", "POST", only(*WRITE, status=302), planning, models=ANSWERS),
    Row("takeoff:planning", "POST", GONE, missing, "other", ANSWERS),
    Row("takeoff:water", "GET", only(*SEE), survey),
    Row("takeoff:water", "GET", GONE, missing, "other"),
    Row("takeoff:day", "GET", only(*LOOK), survey),
    Row("takeoff:day", "GET", GONE, missing, "other"),
    Row("takeoff:tools", "GET", only(*LOOK)),
]
