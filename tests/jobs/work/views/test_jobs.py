"""Pages of jobs."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from openpyxl import load_workbook
from PIL import Image

from jobs.customers.models import Customer
from jobs.work.models import Job
from jobs.work.services import lose_job
from tests.factories import AT, make_booking, make_crew, make_customer, make_job, make_site

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
# Session, user, his permissions (two), the crews of the filter, count, rows.
LIST_QUERIES = 7


def call(**values: str) -> dict[str, str]:
    return {
        "uid": str(uuid4()), "name": "Alex Marsh", "phone": "01632 960123", "kind": "household",
        "address": "4 Mill Lane, Orrford", "source": "telephone", **values,
    }  # fmt: skip


def photo() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number(
    count: int, office: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_job()
    client = client_for(office)
    with django_assert_num_queries(LIST_QUERIES):
        response = client.get("/jobs/")
    assert len(response.context["table"].rows) == count


def test_the_list_searches_and_filters(office: Any, client_for: ClientFor) -> None:
    one = make_job(title="Drive", stage="quoted", site=make_site(address="4 Mill Lane"))
    two = make_job(title="Path", stage="complete", source="website")
    crew = make_crew(name="North")
    make_booking(two, crew=crew)
    client = client_for(office)

    def found(query: str) -> set[Job]:
        return {row.record for row in client.get(f"/jobs/?{query}").context["table"].rows}

    assert found("") == {one, two}
    assert found("q=mill+drive") == {one}
    assert found(f"q={two.reference}") == {two}
    assert found("stage=quoted") == {one}
    assert found("open=yes") == {one}
    assert found("open=no") == {two}
    assert found("source=website") == {two}
    assert found("crew=North") == {two}
    # A filter that cannot be used shows nothing and says so; it is no error of the server's.
    assert found("stage=nonsense") == set()


def test_the_spreadsheet_holds_days_and_words(office: Any, client_for: ClientFor) -> None:
    job = make_job(stage="won")
    body = client_for(office).get("/jobs/?export=xlsx").content
    (sheet,) = load_workbook(io.BytesIO(body)).worksheets
    rows = list(sheet.iter_rows(values_only=True))
    assert rows[0] == (
        "Reference", "Title", "Customer", "Site", "Stage", "Since", "Source", "Opened",
    )  # fmt: skip
    row = rows[1]
    assert row[:5] == (job.reference, job.title, job.customer.name, job.site.name, "won")
    assert isinstance(row[5], datetime)
    assert row[5].date() == date(2026, 5, 14)


# -- the enquiry -----------------------------------------------------------------------------


def test_an_enquiry_opens_a_job_at_once(office: Any, client_for: ClientFor) -> None:
    response = client_for(office).post("/jobs/enquiry/", call())
    job = Job.objects.get()
    assert response["Location"] == f"/jobs/{job.pk}/"
    assert (job.customer.name, job.opened_by) == ("Alex Marsh", office)


def test_a_double_click_takes_one_enquiry_and_does_not_ask_who_it_is(
    office: Any, client_for: ClientFor
) -> None:
    client = client_for(office)
    data = call()
    first, second = client.post("/jobs/enquiry/", data), client.post("/jobs/enquiry/", data)
    assert (first.status_code, second.status_code) == (302, 302)
    assert first["Location"] == second["Location"]
    assert (Job.objects.count(), Customer.objects.count()) == (1, 1)


def test_a_known_caller_is_asked_for_once(office: Any, client_for: ClientFor) -> None:
    known = make_site(make_customer(name="A. Marsh", phone="(01632) 960-123")).customer
    client = client_for(office)
    data = call()

    asked = client.post("/jobs/enquiry/", data)

    html = asked.content.decode()
    assert asked.status_code == 422
    assert "We know somebody like this. Say whether it is them." in html
    assert "4 Mill Lane, Orrford" in html
    assert not Job.objects.exists()
    assert client.post("/jobs/enquiry/", data | {"who": str(known.pk)}).status_code == 302
    assert Job.objects.get().customer == known
    assert Customer.objects.count() == 1


def test_somebody_new_of_a_known_name_becomes_a_customer(
    office: Any, client_for: ClientFor
) -> None:
    make_customer(name="Alex Marsh")
    client_for(office).post("/jobs/enquiry/", call(who="new"))
    assert Customer.objects.filter(name="Alex Marsh").count() == 2


def test_from_the_customers_page_nothing_about_the_person_is_asked(
    office: Any, client_for: ClientFor
) -> None:
    site = make_site()
    client = client_for(office)
    url = f"/jobs/enquiry/?customer={site.customer_id}&site={site.pk}"
    form = client.get(url).context["form"]
    assert "phone" not in form.fields
    assert form["site"].value() == site.pk
    data = {"uid": str(uuid4()), "site": str(site.pk), "source": "repeat", "title": "Path"}
    assert client.post(url, data).status_code == 302
    assert Job.objects.get().site == site
    assert client.get("/jobs/enquiry/?customer=abc").status_code == 404


def test_a_refused_enquiry_keeps_what_was_typed(office: Any, client_for: ClientFor) -> None:
    response = client_for(office).post("/jobs/enquiry/", call(phone="", words="A drive"))
    html = response.content.decode()
    assert response.status_code == 422
    assert "Give a telephone number or an e-mail address to answer to." in html
    assert "A drive" in html
    assert not Customer.objects.exists()


# -- the job's page --------------------------------------------------------------------------


def test_the_page_says_what_is_next_and_how_it_went(
    owner: Any, office: Any, client_for: ClientFor
) -> None:
    job = make_job(enquiry="Room for two cars")
    page = client_for(office).get(f"/jobs/{job.pk}/").content.decode()
    assert "Next: measure the site" in page
    assert f'href="/surveys/add/{job.pk}/"' in page
    assert "Room for two cars" in page
    lose_job(job_id=job.pk, reason="price", note="a third dearer", by=office, at=AT)
    page = client_for(office).get(f"/jobs/{job.pk}/").content.decode()
    assert "Lost: price" in page
    assert "a third dearer" in page
    assert "Next:" not in page
    assert "Who did what" in client_for(owner).get(f"/jobs/{job.pk}/").content.decode()


def test_a_crew_lead_sees_the_job_without_its_buttons(crew: Any, client_for: ClientFor) -> None:
    job = make_job()
    page = client_for(crew).get(f"/jobs/{job.pk}/").content.decode()
    assert job.title in page
    assert f"/jobs/{job.pk}/change/" not in page
    assert f"/jobs/{job.pk}/cancel/" not in page


def test_two_people_on_one_page(office: Any, client_for: ClientFor) -> None:
    job = make_job(title="Drive")
    client = client_for(office)
    html = client.get(f"/jobs/{job.pk}/change/").content.decode()
    opened = re.search(r'name="opened" value="([^"]+)"', html)
    assert opened is not None
    mine = {"version": "1", "opened": opened[1], "title": "Drive", "source": "email"}
    theirs = {"version": "1", "title": "Drive and path", "source": "telephone"}
    assert client.post(f"/jobs/{job.pk}/change/", theirs).status_code == 302
    refused = client.post(f"/jobs/{job.pk}/change/", mine)
    assert refused.status_code == 422
    assert [(c.label, c.before, c.now) for c in refused.context["stale"]] == [
        ("Title", "Drive", "Drive and path")
    ]
    job.refresh_from_db()
    assert job.source == "telephone"


def test_photos_are_added_several_at_once_and_shown(office: Any, client_for: ClientFor) -> None:
    job = make_job()
    client = client_for(office)
    files = [
        SimpleUploadedFile("front.png", photo(), "image/png"),
        SimpleUploadedFile("plan.pdf", b"%PDF-1.7\n%%EOF\n", "application/pdf"),
    ]
    done = client.post(f"/jobs/{job.pk}/photos/add/", {"file": files, "caption": "front"})
    assert done.status_code == 302
    page = client.get(f"/jobs/{job.pk}/").content.decode()
    assert page.count('<img src="/attachments/') == 1
    assert page.count("<span>front</span>") == 2


def test_a_file_that_is_no_photo_is_refused_at_its_field(
    office: Any, client_for: ClientFor
) -> None:
    file = SimpleUploadedFile("x.jpg", b"<script>", "image/jpeg")
    response = client_for(office).post(f"/jobs/{make_job().pk}/photos/add/", {"file": file})
    assert response.status_code == 422
    assert "neither a photo" in response.context["form"].errors["file"][0]
    empty = client_for(office).post(f"/jobs/{make_job().pk}/photos/add/", {})
    assert empty.status_code == 422
