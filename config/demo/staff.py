"""The demo's people: five log-ins, three crews, mixers and vans."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group

from config.demo.world import World, at
from jobs.accounts.models import User
from jobs.accounts.rules import ROLE_NAMES
from jobs.calendar.models import Resource
from jobs.calendar.services import add_closed_day, add_leave, add_plant
from jobs.people.services import add_crew, add_person


@dataclass(frozen=True)
class LogIn:
    """Somebody who logs in to the demo."""

    role: str
    email: str
    name: str

    @property
    def words(self) -> str:
        return f"{self.name}, {ROLE_NAMES[self.role].lower()}"


PASSWORD = "demo-field-book"  # noqa: S105 - printed by the command, for invented people only
LOG_INS = (
    LogIn("owner", "iris@tarnholt.example", "Iris Calder"),
    LogIn("office", "joan@tarnholt.example", "Joan Pellow"),
    LogIn("storeman", "davit@tarnholt.example", "Davit Ormsby"),
    LogIn("accountant", "pia@tarnholt.example", "Pia Lunt"),
    LogIn("crew", "rory@tarnholt.example", "Rory Stead"),
)
CREWS = (
    ("North crew", (("Rory Stead", "24.50"), ("Ewan Fisk", "19.80"), ("Tom Arley", "18.60"))),
    ("South crew", (("Lena Marsh", "24.00"), ("Abel Quint", "19.80"), ("Noah Trew", "17.90"))),
    ("Base gang", (("Sid Hallow", "23.20"), ("Perry Dunn", "19.10"), ("Kit Varley", "18.40"))),
)
PLANT = (
    ("mixer", "Mixer 1", None),
    ("mixer", "Mixer 2", None),
    ("vehicle", "Van 1", 1120),
    ("vehicle", "Van 2", 1040),
    ("vehicle", "Tipper", 1480),
)


def load_staff(world: World) -> None:
    """Make log-ins, crews, people with their rates, and plant."""
    start = world.days_ago(420)
    moment = at(start, 8)
    hashed = make_password(PASSWORD)  # once: a good hash takes its time
    for person in LOG_INS:
        user = User.objects.create(
            email=person.email, password=hashed, name=person.name, phone="01632 960101"
        )
        user.groups.set(Group.objects.filter(name=person.role))
        world.users[person.role] = user
    owner = world.users["owner"]
    for crew_name, members in CREWS:
        crew = add_crew(name=crew_name, by=owner, at=moment)
        world.crews.append(crew)
        world.people[crew_name] = [
            add_person(
                name=name, crew=crew, is_lead=place == 0, phone=f"07700 9001{place}{len(name):02d}",
                cards="skills card, first aid" if place == 0 else "skills card",
                user=world.users["crew"] if name == "Rory Stead" else None,
                hourly=Decimal(hourly), valid_from=start, by=owner, at=moment,
            )
            for place, (name, hourly) in enumerate(members)
        ]  # fmt: skip
    for kind, name, payload in PLANT:
        add_plant(kind=kind, name=name, payload_kg=payload, by=owner, at=moment)
    world.resources = {row.name: row for row in Resource.objects.all()}


def load_leave(world: World) -> None:
    """Give somebody a holiday ahead, and close a day."""
    office, moment = world.users["office"], at(world.days_ago(20), 9)
    away = world.people["South crew"][1]
    add_leave(
        person_id=away.pk, first=world.working(5), last=world.working(9), reason="holiday",
        by=office, at=moment,
    )  # fmt: skip
    add_closed_day(
        calendar="yard", day=world.working(11), reason="stock-taking", by=office, at=moment
    )
