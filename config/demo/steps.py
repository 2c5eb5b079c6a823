"""A story told step by step, each at its moment, through the services that people use.

A step function yields the next moment and then does what happens then; the loader runs all
stories' steps in the order of the clock, so that every service sees the firm as it was.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from config.demo.goods import order_for, receive_for, reserve_and_issue
from config.demo.laydays import lay_days
from config.demo.money import ask_rest, pay_deposit, pay_rest
from config.demo.stories import Story
from config.demo.world import World, at, key
from jobs.billing.rules import Stage as Pay
from jobs.calendar.rules import half_days
from jobs.calendar.services import book_phase
from jobs.costing.services import enter_hours
from jobs.customers.models import Customer
from jobs.customers.services import change_customer
from jobs.sites.models import Site
from jobs.surveys.services import add_area, add_shape, finish_survey, start_survey
from jobs.work.enums import Stage
from jobs.work.models import Job
from jobs.work.services import cancel_job, lose_job, record_step, take_enquiry
from quotes.acceptance.services import accept, decline, make_link
from quotes.quoting.models import Revision
from quotes.quoting.services import plan_payment, send_revision, start_quote
from quotes.takeoff.services import choose_blends

Step = Iterator[datetime]
# Invented, with a check digit that is right.
# What stands before a name and is no part of an address.
TITLES = frozenset({"Mr", "Mrs", "Ms", "Miss", "Dr", "and"})
BUILDERS_VAT = "GB999999820"
# A firm with more cost before the laying asks for more of the money before it.
STAGES = (
    Pay("Deposit", percent=Decimal(20), deposit=True),
    Pay("When the base is ready", percent=Decimal(40)),
    Pay("When it is laid"),
)
LOST_WORDS = {
    "price": "Another price was a good deal lower.",
    "timing": "We wanted it before the holidays.",
    "other_surface": "We have decided for block paving.",
    "no_answer": "No answer to two calls.",
}


def tell(world: World, story: Story, number: int) -> Step:
    """Yield the moments of a story and do at each what happens then."""
    asked = first_call(world, story)
    yield at(asked, 9 + number % 6, 10 + number % 40)
    job = enquire(world, story, number, asked)
    if story.stops_at == "enquiry":
        return
    visit = world.calendar.after(asked, 2)
    yield at(visit, 10 + number % 5)
    survey = measure(world, story, job, visit)
    if story.stops_at == "survey":
        return
    quoted = world.calendar.after(visit, 1)
    yield at(quoted, 16, number % 50)
    revision = quote(world, story, job, survey, quoted)
    yield from answer(world, story, job, revision, world.calendar.after(quoted, 4))
    if story.lost or story.stops_at == "quote":
        return
    won = world.calendar.after(quoted, 4)
    paid = world.calendar.after(won, 3)
    yield at(paid, 11, 15)
    pay_deposit(world, job, paid)
    if story.stops_at in {"book", "cancel"}:
        if story.stops_at == "cancel":
            yield at(world.calendar.after(paid, 4), 15)
            cancel_job(
                job_id=job.pk, note="The house was sold.", by=world.users["office"],
                at=at(world.calendar.after(paid, 4), 15),
            )  # fmt: skip
        return
    yield from work(world, story, job, number, paid)


def first_call(world: World, story: Story) -> date:
    """Return the day of the enquiry: typed in the story, or reckoned back from the lay day."""
    if story.lay is None:
        return world.days_ago(story.asked)
    return world.calendar.before(world.working(story.lay), 26)


def enquire(world: World, story: Story, number: int, day: date) -> Job:
    """Take the enquiry; a builder who comes again is known."""
    moment = at(day, 9 + number % 6, 10 + number % 40)
    known = Customer.objects.filter(name=story.customer).first()
    sources = ("telephone", "website", "recommended", "email", "board")
    values: dict[str, Any] = {
        "title": story.title, "by": world.users["office"], "at": moment,
        "words": f"{story.title}; would like it in resin-bound stone. Rang back the same day.",
        "source": "repeat" if known else sources[number % len(sources)],
        "key": key("enquiry", number), "address": story.site,
    }  # fmt: skip
    if known:
        site = Site.objects.filter(customer=known, address=story.site).first()
        return take_enquiry(**values, customer_id=known.pk, site_id=site.pk if site else None)
    letters = "".join(word for word in story.customer.split() if word not in TITLES).lower()
    job = take_enquiry(
        **values, name=story.customer, kind=story.kind, phone=f"01632 960{300 + number}",
        email=f"{letters}{number}@home.example",
    )  # fmt: skip
    if story.kind != "household":
        give_particulars(world, job.customer, story, moment)
    Site.objects.filter(pk=job.site_id).update(
        wagon_access="yes", tail_lift="yes" if number % 3 else "no", parking_elsewhere="yes",
        water="yes", power="yes" if number % 2 else "no", dry_store="no",
    )  # fmt: skip
    return job


def give_particulars(world: World, customer: Customer, story: Story, moment: datetime) -> None:
    """A business is invoiced at its own address; the builder reports under CIS and is registered.

    So his invoices carry the reverse charge.
    """
    values: dict[str, Any] = {"address": f"{story.customer}, {story.site}", "postcode": "OR9 2ZZ"}
    if story.kind == "builder":
        values |= {"vat_number": BUILDERS_VAT, "reports_under_cis": True, "terms_days": 30}
    change_customer(
        customer_id=customer.pk, version=customer.version, by=world.users["office"], at=moment,
        **values,
    )  # fmt: skip


def measure(world: World, story: Story, job: Job, day: date) -> Any:
    """Record the survey as the owner taped it."""
    owner = world.users["owner"]
    hour = at(day, 11)
    survey = start_survey(
        job_id=job.pk, by=owner, at=hour, visited_at=hour, base_kind=story.base,
        base_condition="sound", base_texture_mm=Decimal("0.5"), fall="1:60", damp_course="yes",
        thresholds_clear="yes", airbricks_clear="yes", doors_clear="yes", trees="no", drains="yes",
        covers="yes" if any(s[2] for f in story.surfaces for s in f.shapes) else "no",
        movement_joints="yes" if story.base == "concrete" else "no",
        services_searched="yes", old_tarmac="no", front_garden="yes",
    )  # fmt: skip
    for surface in story.surfaces:
        area = add_area(
            survey_id=survey.pk, name=surface.name, use=surface.use, depth_mm=surface.depth,
            pour_name=surface.pour, group_name=story.blend.lower(), by=owner, at=hour,
        )  # fmt: skip
        for kind, measurements, deduct in surface.shapes:
            note = "cover" if deduct else ""
            add_shape(
                area_id=area.pk, kind=kind, measurements=measurements, deduct=deduct, note=note,
                by=owner, at=hour,
            )  # fmt: skip
    finish_survey(survey_id=survey.pk, by=owner, at=hour + timedelta(minutes=40))
    groups = {group.pk: world.blends[story.blend].pk for group in survey.colour_groups.all()}
    choose_blends(
        survey_id=survey.pk, blends=groups, air_c=Decimal(14), by=owner,
        at=hour + timedelta(minutes=45),
    )  # fmt: skip
    return survey


def quote(world: World, story: Story, job: Job, survey: Any, day: date) -> Revision:
    """Draft the quote from the survey and send it."""
    owner = world.users["owner"]
    moment = at(day, 16, 50)
    codes = ["EDGE", "PRIME"] + (["LIFT"] if story.lift else [])
    items = [world.work[code].pk for code in codes]
    revision = start_quote(
        job_id=job.pk, survey_id=survey.pk, work_item_ids=items, by=owner, at=moment
    )
    if story.staged:
        plan_payment(revision_id=revision.pk, stages=STAGES, by=owner, at=moment)
    to = job.customer.email or "office@orrford.example"
    return send_revision(revision_id=revision.pk, to=to, by=owner, at=moment)


def answer(world: World, story: Story, job: Job, revision: Revision, day: date) -> Step:
    """The customer answers by the link, or does not."""
    if story.stops_at == "quote":
        return
    yield at(day, 19, 30)
    moment = at(day, 19, 30)
    _, token = make_link(revision_id=revision.pk, by=world.users["owner"], at=moment)
    if story.lost == "no_answer":
        lose_job(
            job_id=job.pk, reason="no_answer", note=LOST_WORDS["no_answer"],
            by=world.users["office"], at=moment,
        )  # fmt: skip
    elif story.lost:
        decline(token=token, reason=LOST_WORDS[story.lost], at=moment)
        lose_job(
            job_id=job.pk, reason=story.lost, note=LOST_WORDS[story.lost],
            by=world.users["office"], at=moment,
        )  # fmt: skip
    else:
        accept(
            token=token, name=story.customer, consents={"terms": True, "colour": True,
            "begin_early": True}, options=[], network_address="192.0.2.17",
            user_agent="a telephone", at=moment,
        )  # fmt: skip


def work(world: World, story: Story, job: Job, number: int, paid: date) -> Step:
    """Book, order, receive, reserve, issue, prepare, lay, and hand over."""
    assert story.lay is not None  # noqa: S101 - only such stories come here
    first = world.working(story.lay)
    days = 2 if len({surface.pour for surface in story.surfaces}) > 1 else 1
    last = world.calendar.after(first, days - 1)
    prepare = world.calendar.before(first, 2)
    booked = world.calendar.after(paid, 1)
    yield at(booked, 10)
    book(world, story, job, prepare, first, last, booked)
    if story.stops_at == "order":
        return
    ordered = world.calendar.before(first, 9)
    yield max(at(ordered, 9, 30), at(booked, 10, 30))
    order_for(world, job, max(at(ordered, 9, 30), at(booked, 10, 30)))
    came = world.calendar.before(first, 5)
    yield at(came, 10, 45)
    receive_for(world, job, number, at(came, 10, 45))
    kept = world.calendar.before(first, 4)
    yield at(kept, 14)
    reserve_and_issue(world, job, at(kept, 14), issue=False)
    yield at(prepare, 17, 30)
    hours_of(world, story, job, "Base gang", prepare, minutes=420)
    loaded = world.calendar.before(first, 1)
    yield at(loaded, 16)
    reserve_and_issue(world, job, at(loaded, 16), issue=True)
    yield from lay_days(world, story, job, first, last)
    handed = world.calendar.after(last, 2)
    yield at(handed, 11)
    record_step(job_id=job.pk, stage=Stage.COMPLETE, by=world.users["owner"], at=at(handed, 11))
    ask_rest(world, job, handed)
    given = world.calendar.after(handed, 6)
    yield at(given, 11)
    pay_rest(world, job, given)
    record_step(job_id=job.pk, stage=Stage.IN_GUARANTEE, by=world.users["owner"], at=at(given, 11))


def book(
    world: World, story: Story, job: Job, prepare: date, first: date, last: date, day: date
) -> None:
    """Book the base gang to prepare, a crew with mixer and van to lay."""
    crew = ("North crew", "South crew")[story.crew]
    plant = ("Mixer 1", "Van 1") if story.crew == 0 else ("Mixer 2", "Van 2")
    for phase, names, begin, end in (
        ("prepare", ("Base gang", "Tipper"), prepare, prepare),
        ("lay", (crew, *plant), first, last),
    ):
        book_phase(
            job_id=job.pk, phase=phase, when=half_days(begin, end),
            resource_ids=[world.resources[name].pk for name in names],
            key=key("book", job.reference, phase), by=world.users["office"], at=at(day, 10),
        )  # fmt: skip


def hours_of(world: World, story: Story, job: Job, crew: str, day: date, *, minutes: int) -> None:
    """Enter a crew's day on a job."""
    moment = at(day, 17, 30)
    for person in world.people[crew]:
        enter_hours(
            job_id=job.pk, person_id=person.pk, day=day, kind="work",
            minutes=minutes * story.hours // 100 // 15 * 15,
            uid=key("hours", job.reference, person.name, day), by=world.users["crew"], at=moment,
        )  # fmt: skip
