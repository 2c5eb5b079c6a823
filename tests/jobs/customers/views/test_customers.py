"""Pages of customers."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from jobs.customers.models import Customer
from jobs.customers.services import change_customer
from tests.factories import AT, make_customer, make_job

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
# Session, user, his permissions (two), count, rows.
LIST_QUERIES = 6


def form_of(client: Client, url: str) -> dict[str, str]:
    """Return the hidden fields of a page's form as a browser would send them."""
    html = client.get(url).content.decode()
    found = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', html)
    return {name: value for name, value in found if name != "csrfmiddlewaretoken"}


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number(
    count: int, office: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_job()
    client = client_for(office)
    with django_assert_num_queries(LIST_QUERIES):
        response = client.get("/customers/")
    assert len(response.context["table"].rows) == count


def test_the_list_searches_filters_and_leaves_out_who_was_put_away(
    office: Any, client_for: ClientFor
) -> None:
    make_customer(name="Alex Marsh", phone="01632 960123")
    make_customer(name="Marsh and Sons", kind="builder")
    make_customer(name="Old Marsh", archived_at=AT)
    make_customer(name="erased customer 9", archived_at=AT, erased_at=AT)
    client = client_for(office)

    def names(query: str) -> list[str]:
        rows = client.get(f"/customers/?{query}").context["table"].rows
        return [row.record.name for row in rows]

    assert names("") == ["Alex Marsh", "Marsh and Sons"]
    assert names("q=marsh+960123") == ["Alex Marsh"]
    assert names("kind=builder") == ["Marsh and Sons"]
    assert names("kept=archived") == ["Old Marsh"]
    assert names("kept=all") == ["Alex Marsh", "Marsh and Sons", "Old Marsh"]
    assert names("sort=-name") == ["Marsh and Sons", "Alex Marsh"]


def test_the_file_holds_what_the_list_shows_and_no_formula(
    office: Any, client_for: ClientFor
) -> None:
    make_customer(name='=HYPERLINK("x")', email="")
    body = client_for(office).get("/customers/?export=csv").content.decode()
    head, row = list(csv.reader(io.StringIO(body)))
    assert head == [
        "Name", "Kind", "Telephone", "E-mail", "Postcode", "Open jobs", "Jobs in all",
    ]  # fmt: skip
    assert row == ['\'=HYPERLINK("x")', "household", "", "", "", "0", "0"]


def test_a_double_click_adds_one_customer(office: Any, client_for: ClientFor) -> None:
    client = client_for(office)
    data = {"name": "Alex", "kind": "household", "terms_days": "14", "uid": str(uuid4())}
    first = client.post("/customers/add/", data)
    second = client.post("/customers/add/", data)
    assert first["Location"] == second["Location"]
    assert Customer.objects.count() == 1


def test_a_refused_form_keeps_what_was_typed(office: Any, client_for: ClientFor) -> None:
    data = {"name": "Alex", "kind": "builder", "terms_days": "14", "vat_number": "12",
            "uid": str(uuid4())}  # fmt: skip
    response = client_for(office).post("/customers/add/", data)
    html = response.content.decode()
    assert response.status_code == 422
    assert "&#x27;12&#x27; is not a VAT number; write GB and nine digits." in html
    assert 'value="12"' in html
    assert not Customer.objects.exists()


def test_two_people_on_one_page(owner: Any, office: Any, client_for: ClientFor) -> None:
    customer = make_customer(phone="01632 960100", terms_days=14)
    url = f"/customers/{customer.pk}/change/"
    mine = client_for(office)
    hidden = form_of(mine, url)
    change_customer(
        customer_id=customer.pk, version=1, phone="01632 960199", reports_under_cis=False,
        by=owner, at=AT,
    )  # fmt: skip
    typed = {"name": customer.name, "email": customer.email, "kind": "household",
             "phone": "01632 960100", "terms_days": "30"}  # fmt: skip

    refused = mine.post(url, typed | hidden)

    html = refused.content.decode()
    assert refused.status_code == 422
    assert "Somebody else saved this page while you had it open." in html
    stale = refused.context["stale"]
    assert [(c.label, c.before, c.now, c.typed) for c in stale] == [
        ("Telephone", "01632 960100", "01632 960199", "01632 960100")
    ]
    assert 'value="30"' in html
    customer.refresh_from_db()
    assert (customer.phone, customer.terms_days) == ("01632 960199", 14)

    # Having seen it, saving again is a decision.
    again = dict(refused.context["form"].data.items())
    assert again["version"] == "2"
    assert mine.post(url, again).status_code == 302
    customer.refresh_from_db()
    assert (customer.phone, customer.terms_days, customer.version) == ("01632 960100", 30, 3)


def test_the_page_shows_sites_and_jobs_and_the_trail_to_those_who_may(
    owner: Any, office: Any, client_for: ClientFor
) -> None:
    job = make_job()
    change_customer(customer_id=job.customer_id, version=1, terms_days=21, by=owner, at=AT)
    url = f"/customers/{job.customer_id}/"
    page = client_for(owner).get(url).content.decode()
    assert job.site.address in page
    assert job.reference in page
    assert f"changed by {owner}" in page
    assert "Download the personal data" in page
    page = client_for(office).get(url).content.decode()
    assert "Who did what" not in page
    assert "Download the personal data" not in page


def test_the_data_come_as_a_file(owner: Any, client_for: ClientFor) -> None:
    customer = make_customer(name="Alex Marsh")
    response = client_for(owner).post(f"/customers/{customer.pk}/data/")
    assert response["Content-Disposition"] == (
        f'attachment; filename="customer-{customer.pk}.json"'
    )
    assert response.json()["rooms"]["customers"]["customer"]["name"] == "Alex Marsh"


def test_an_erased_customer_is_not_found(owner: Any, client_for: ClientFor) -> None:
    customer = make_customer()
    client = client_for(owner)
    done = client.post(f"/customers/{customer.pk}/erase/", {"reason": "by letter"}, follow=True)
    assert "The personal data were erased." in done.content.decode()
    assert client.get(f"/customers/{customer.pk}/").status_code == 404
