"""The whole job in a real browser, from the enquiry to the accountant's export.

It walks the demo as `make demo` serves it: web server, worker and beat as processes, mail as files.
No figure is typed twice: what one step made, the next one finds.

Long because: the seven steps are one walk, and each needs what the one before it made.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.browser.firm import ROOT, Firm, Visitor, running_demo

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PHONE = {"width": 360, "height": 740}
DESK = {"width": 1180, "height": 900}


@pytest.fixture(scope="module")
def firm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firm]:
    shots = Path(os.environ.get("RESINWRIGHT_VAR") or ROOT / "var") / "walk"
    shots.mkdir(parents=True, exist_ok=True)
    attach = os.environ.get("WALK_ATTACH")  # 'address,folder' of a demo that runs already
    if attach:
        base, _, var = attach.partition(",")
        yield Firm(base, Path(var), shots)
        return
    with running_demo(tmp_path_factory.mktemp("firm"), shots) as found:
        yield found


class Walk:
    """The people of the walk, each with a browser window of their own."""

    def __init__(self, firm: Firm, browser: Any) -> None:
        self.firm, self.browser = firm, browser
        self.people: dict[str, Visitor] = {}
        self.job = self.survey = self.revision = 0
        self.reference = self.link = ""
        # A number of its own, so that a demo can be walked more than once.
        self.number = 100 + os.getpid() % 900
        self.email = f"walker{self.number}@home.example"

    def person(self, role: str, size: dict[str, int] = DESK) -> Visitor:
        if role not in self.people:
            context = self.browser.new_context(viewport=size, accept_downloads=True)
            visitor = Visitor(self.firm, context.new_page(), role)
            self.people[role] = visitor
            if role != "customer":
                visitor.log_in(role).check("today")
        return self.people[role]

    @property
    def today(self) -> date:
        from datetime import datetime

        return datetime.now(ZoneInfo("Europe/London")).date()


def test_the_whole_job(firm: Firm, browser: Any) -> None:
    walk = Walk(firm, browser)
    look_around(walk)
    take_the_enquiry(walk)
    survey_and_quote(walk)
    accept_and_pay(walk)
    order_and_reserve(walk)
    book(walk)
    issue(walk)
    lay(walk)
    cost(walk)
    background_work(walk)
    for visitor in walk.people.values():
        assert visitor.trouble == [], f"{visitor.name}: the browser complained"


def look_around(walk: Walk) -> None:
    """0. What the firm tells beside its jobs is to be seen."""
    owner = walk.person("owner")
    owner.go("/today/").sees("2 kits still in vans", "adds 1 day: move the booking")
    owner.go("/quotes/").sees("Repairs to the drive", "sent, job lost")


def take_the_enquiry(walk: Walk) -> None:
    """1. The office takes an enquiry; customer, site and job are there."""
    office = walk.person("office")
    office.go("/jobs/enquiry/").check("enquiry")
    office.press("Open the job").sees("Fill this in")
    office.fill(
        name=f"Ms Walker {walk.number}", phone=f"01632 960{walk.number}", email=walk.email,
        address=f"{walk.number} Long Lane, Orrford", words="Drive and a path.",
        title="Long Lane drive",
    )  # fmt: skip
    office.press("Open the job").sees("Long Lane drive", "Ms Walker").check("job")
    walk.job = office.number_in_url()
    found = re.search(r"J-\d{4}-\d{4}", office.text)
    assert found is not None
    walk.reference = found[0]


def survey_and_quote(walk: Walk) -> None:
    """2. The owner measures, sees plan and take-off, quotes, and sends."""
    owner = walk.person("owner")
    owner.go(f"/surveys/add/{walk.job}/")
    owner.fill(base_kind="tarmac", base_condition="sound", fall="1:80").press("Start the survey")
    walk.survey = owner.number_in_url()
    owner.go(f"/surveys/{walk.survey}/areas/add/")
    owner.fill(name="drive", use="cars and vans", depth_mm="20", pour_name="p", group_name="gold")
    owner.press("Add the area and measure it")
    area = owner.number_in_url()
    shape(owner, area, "rectangle", length="6.2 m", width="3,4 m").sees("3,4 m")
    shape(owner, area, "triangle", a="1 m", b="2 m", c="9 m")
    assert owner.page.locator("[name=c]").input_value() == "9 m"  # what was typed is still there
    shape(owner, area, "rectangle", length="6.2 m", width="3.4 m").sees("21.08")
    shape(owner, area, "circle", diameter="0.6 m", deduct="on").sees("20.80").check("area")
    owner.go(f"/surveys/{walk.survey}/areas/add/")
    owner.fill(name="path", use="people on foot", depth_mm="16", pour_name="p", group_name="gold")
    owner.press("Add the area and measure it")
    path = owner.number_in_url()
    shape(owner, path, "triangle", a="3 m", b="4 m", c="5 m").sees("6.00")
    owner.go(f"/surveys/{walk.survey}/").sees("26.80").check("survey")
    owner.press("Finish the survey")
    take_off(walk, owner)
    draft_and_send(walk, owner)


def shape(owner: Visitor, area: int, kind: str, **values: str) -> Visitor:
    """Add one taped shape to an area."""
    owner.go(f"/surveys/areas/{area}/shapes/add/{kind}/")
    if values.pop("deduct", ""):
        owner.page.locator("[name=deduct]").check()
    return owner.fill(**values).press("Add the shape")


def take_off(walk: Walk, owner: Visitor) -> None:
    """The take-off by the blend chosen: 20.80 m² at 20 mm and 6.00 m² at 16 mm, one pour.

    Worked by hand: the blend covers 3.15 m² at 20 mm; (20.80 + 6.00 × 16/20) × 1.05 / 3.15 = 8.53
    mixes (6.93 and 1.60), so 9 kits, 36 bags of stone, 9 of quartz, 9 of sand.
    """
    owner.go(f"/take-off/{walk.survey}/blends/")
    owner.page.locator("main select").first.select_option(label="Moor gold")
    owner.press("Work it out").sees("6.93", "1.60", "720.0").check("take-off")
    owner.go(f"/take-off/{walk.survey}/workings/").sees("9 mixes, 9 kits").check("workings")


def draft_and_send(walk: Walk, owner: Visitor) -> None:
    """The quote with surfacing, edging and lifting away; margin is the owner's to see."""
    owner.go(f"/quotes/start/{walk.job}/")
    for item in ("Fix aluminium edging", "Lift the old surface and cart it away"):
        owner.tick(item)
    owner.press("Draft the quote")
    walk.revision = owner.number_in_url()
    owner.sees("edging", "Lift the old surface", "Margin in the price", "overhead", "VAT").check(
        "quote"
    )
    for role in ("office",):
        other = walk.person(role).go(f"/quotes/{walk.revision}/")
        other.sees("edging").sees_not("margin", "Margin", "verhead", "direct cost")
    owner.press("Open the PDF")
    for _ in range(60):
        if "Open the PDF" in owner.text or owner.page.url.endswith("pdf/"):
            break
        owner.page.wait_for_timeout(1000)
        owner.page.reload()
    owner.check("pdf-ready")
    owner.go(f"/quotes/{walk.revision}/send/").press("Send the quote")
    owner.go(f"/quotes/{walk.revision}/").sees("sent")
    text = walk.firm.wait_for_mail(walk.email, "/q/")
    found = re.search(r"https?://\S+/q/\S+/", text)
    assert found is not None
    walk.link = found[0]


def accept_and_pay(walk: Walk) -> None:
    """3. The customer accepts on a phone; budget, needs and deposit stand; the money comes in."""
    customer = walk.person("customer", PHONE)
    customer.go(walk.link).sees("Long Lane drive", "VAT").check("quote")
    customer.press("Accept the quote").sees("Type your name")
    customer.fill(name="Wilma Walker")
    for box in customer.page.locator("main input[type=checkbox]").all():
        box.check()
    customer.press("Accept the quote").sees("Accepted by Wilma Walker").check("accepted")
    customer.go(walk.link).sees("Accepted by Wilma Walker")
    office = walk.person("office").go(f"/jobs/{walk.job}/")
    office.sees("won", "deposit", "open").check("won")
    look_before_booking(walk, office)
    office.go(f"/jobs/{walk.job}/").press("Record the money").check("receipt")
    office.press("Record the money")
    office.go(f"/jobs/{walk.job}/").sees("received")


def look_before_booking(walk: Walk, office: Visitor) -> None:
    """Open deposit, missing material and a holiday are said before anything is saved."""
    boxing_day = date(walk.today.year + (walk.today.month == 12), 12, 25)
    office.go(f"/calendar/book/?job={walk.job}&phase=lay&first={boxing_day}")
    office.tick("South crew").press("Check and book")
    office.sees("The deposit", "Not reserved yet", "The firm does not work on").check("findings")
    office.go(f"/jobs/{walk.job}/").sees("Nothing is booked yet")


def order_and_reserve(walk: Walk) -> None:
    """4. The storeman sees what is short and by when, orders, receives, and reserves."""
    storeman = walk.person("storeman")
    mail = walk.firm.wait_for_mail("davit@tarnholt.example", walk.reference)
    assert "Moor gold" in mail
    storeman.go("/orders/clock/").sees(walk.reference).check("clock")
    for _ in range(3):  # one order a supplier
        storeman.go(f"/jobs/{walk.job}/")
        drafts = storeman.page.locator("a[href*='/orders/draft/']")
        if drafts.count() == 0:
            break
        storeman.go(drafts.first.get_attribute("href") or "")
        only_ours(storeman, walk.reference)
        storeman.press("Draft the order")
        storeman.press("Place the order")
        receive(walk, storeman)
    storeman.go(f"/allocation/jobs/{walk.job}/").press("Reserve the material")
    storeman.go(f"/jobs/{walk.job}/").sees("there", "Issue to the site").check("reserved")


def only_ours(storeman: Visitor, reference: str) -> None:
    """Tick the shortages of the walk's job and no others; take a channel that is still open."""
    for box in storeman.page.locator("main input[type=checkbox]").all():
        label = box.evaluate("e => e.labels[0].innerText")
        box.set_checked(reference in label)
    storeman.page.locator("main input[type=radio]").last.check()
    storeman.check("draft")


def receive(walk: Walk, storeman: Visitor) -> None:
    """Book the delivery in: all of it good, labels typed as they are printed."""
    storeman.press("Receive")
    page = storeman.page
    later = walk.today + timedelta(days=150)
    for box in page.locator("main fieldset input").all():
        name = box.get_attribute("name") or ""
        if name.endswith("_2") or not box.is_visible():
            continue
        if name.startswith(("batch_a", "batch_b")):
            box.fill(f"W{name[6].upper()}1")
        elif name.startswith("expiry"):
            box.fill(later.isoformat())
        elif name.startswith("run"):
            box.fill("26-0999")
    storeman.fill(delivery_note="DN 1").check("receive")
    storeman.press("Book it in")
    storeman.sees("received")


def book(walk: Walk) -> None:
    """5. The office books; a clash is refused, and what is to be seen to is said first."""
    office = walk.person("office")
    yesterday = walk.today - timedelta(days=1)
    office.go(f"/calendar/book/?job={walk.job}&phase=lay&first={walk.today}")
    for name in ("South crew", "Rory Stead", "Mixer 2"):
        office.tick(name)
    office.press("Check and book")
    if "Before it is saved" in office.text:
        office.press("Book it all the same")
    office.sees("Long Lane drive").check("booked")
    office.go(f"/calendar/book/?job={walk.job}&phase=prepare&first={walk.today}")
    office.tick("Mixer 2").press("Check and book").sees("Mixer 2 is at").check("clash")
    office.go(f"/calendar/book/?job={walk.job}&phase=prepare&first={yesterday}")
    office.page.locator("[name=first_half]").select_option("pm")
    office.tick("Tipper").press("Check and book")
    if "Before it is saved" in office.text:
        office.press("Book it all the same")
    office.go("/calendar/").sees("South crew").check("week")


def issue(walk: Walk) -> None:
    """The storeman prints the pick list and issues, once."""
    storeman = walk.person("storeman")
    storeman.go(f"/movements/jobs/{walk.job}/pick/").sees("Moor gold").check("pick")
    answer = storeman.page.request.get(f"{walk.firm.base}/movements/jobs/{walk.job}/pick.pdf")
    assert answer.body().startswith(b"%PDF-")
    storeman.go(f"/movements/jobs/{walk.job}/issue/").press("Issue to the site")
    storeman.go(f"/movements/jobs/{walk.job}/issue/").press("Issue to the site")
    storeman.sees("Nothing is reserved")


def lay(walk: Walk) -> None:
    """6. The crew lead on a phone: base, mixes with one tap each, what comes back."""
    crew = walk.person("crew", PHONE)
    crew.go("/today/").sees("Long Lane").check("today-lay")
    crew.go(f"/lay/jobs/{walk.job}/{walk.today}/").press("Open the day")
    day = crew.number_in_url()
    crew.go(f"/lay/{day}/base/").check("base")
    crew.fill(air_c="14.0", surface_c="13.0", humidity_percent="60").press("Accept the base")
    crew.go(f"/lay/{day}/")
    if "Add the first bay" in crew.text:
        crew.press("Add the first bay").fill(name="A").press("Add the bay")
    for number in range(1, 9):  # nine were reckoned; eight are laid
        crew.go(f"/lay/{day}/").press(f"Mix {number} started")
    crew.go(f"/lay/{day}/").sees("Mix 8").check("laying")
    crew.press("is full").fill(area_m2="26.8").press("It is full")
    evening(walk, crew, day)
    crew.go(f"/lay/{day}/close/")
    crew.page.locator("main button[type=submit]").click()
    crew.settled()
    crew.go(f"/lay/{day}/").sees("The day is closed")


def evening(walk: Walk, crew: Visitor, day: int) -> None:
    """An opened kit cannot come back, the unopened one can, and its bags with it."""
    crew.go(f"/lay/{day}/evening/")
    back = crew.page.locator("input[name^=back_]")
    labels = [box.evaluate("e => e.closest('fieldset').innerText") for box in back.all()]
    packs = {"Resin kit": "1", "Moor gold": "4", "Pale quartz": "1", "Fine sand": "1"}
    for box, label in zip(back.all(), labels, strict=True):
        box.fill(next((count for name, count in packs.items() if name in label), "0"))
    kit = next(box for box, label in zip(back.all(), labels, strict=True) if "Resin kit" in label)
    kit.fill("0.5")
    crew.check("evening").press("Book the balance").sees("kit")
    assert "/evening/" in crew.page.url  # refused, with what was typed still there
    kit = crew.page.locator(f"[name={kit.get_attribute('name')}]")
    assert kit.input_value() == "0.5"
    kit.fill("1")
    crew.press("Book the balance")
    assert "/evening/" not in crew.page.url, crew.text[:2000]


def cost(walk: Walk) -> None:
    """7. The accountant enters hours, sees every cost once, and takes the figures away."""
    accountant = walk.person("accountant")
    accountant.go(f"/costing/hours/enter/?job={walk.job}")
    accountant.fill(person="Rory Stead", day=walk.today.isoformat(), hours="7.5")
    accountant.press("Enter the hours")
    accountant.go("/costing/").sees(walk.reference).check("costing")
    accountant.go(f"/costing/jobs/{walk.job}/").sees("materials", "labour").check("job-costing")
    table = accountant.page.locator("table tfoot tr").first.inner_text()
    shown = [Decimal(figure) for figure in re.findall(r"\d+\.\d\d", table.replace(",", ""))[:3]]
    address = f"{walk.firm.base}/costing/categories/costing.csv?job={walk.reference}"
    rows = list(csv.DictReader(io.StringIO(accountant.page.request.get(address).text())))
    ours = [row for row in rows if row["job"] == walk.reference]
    assert shown == [
        sum((Decimal(row[name]) for row in ours), Decimal(0))
        for name in ("budget", "committed", "actual")
    ]
    sheet = accountant.page.request.get(address.replace(".csv", ".xlsx")).body()
    from openpyxl import load_workbook

    book: Any = load_workbook(io.BytesIO(sheet))
    cells = list(book.active.iter_rows(values_only=True))
    total = [row for row in cells if row[0] == walk.reference]
    assert sum(Decimal(str(row[5])) for row in total) == shown[2]


def background_work(walk: Walk) -> None:
    """Reminders and reorder are shown with when they ran and will run next."""
    storeman = walk.person("storeman")
    storeman.go("/orders/clock/").sees("What runs by itself", "Runs next").check("clock-after")
    storeman.go("/reorder/").check("reorder")
