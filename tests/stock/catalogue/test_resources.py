"""The catalogue as sheets: what goes out comes in as it is, and what is refused says its line."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from jobs.audit.models import Event
from stock.catalogue.models import Blend, Item
from tests.factories import (
    make_blend,
    make_edging,
    make_kit,
    make_lot,
    make_sand,
    make_stone,
)
from tests.stock.laying.world import make_site_with, open_day

pytestmark = pytest.mark.django_db
HEAD = "Code,Name,Kind,Counted in,A pack is called,A pack holds"


@pytest.fixture
def client(storeman: Any, client_for: Callable[[Any], Client]) -> Client:
    return client_for(storeman)


def bring(client: Client, name: str, content: bytes) -> Any:
    url = reverse(f"catalogue:{name}")
    return client.post(url, {"file": SimpleUploadedFile("sheet.csv", content)})


def items(client: Client, *rows: str, head: str = HEAD) -> Any:
    return bring(client, "import", "\r\n".join([head, *rows]).encode())


def blends(client: Client, *rows: str) -> Any:
    head = 'Blend,Kit,Goes in,"Covers, m²","at, mm"'
    return bring(client, "blend_import", "\r\n".join([head, *rows]).encode())


def kinds(page: Any) -> list[str]:
    return [row.kind for row in page.context["found"].rows]


def sentence(page: Any) -> str:
    (row,) = page.context["found"].rows
    return " ".join(row.sentences)


def test_what_goes_out_comes_in_as_it_is(client: Client) -> None:
    make_kit(season="winter", store_low_c=Decimal("5.5"), storage_note="dry, closed")
    make_stone(least=100_000, most=400_000, packs_per_pallet=49)
    make_edging()
    make_blend(compacted_density=None)
    for out, back in (("export", "import"), ("blend_export", "blend_import")):
        file = client.get(reverse(f"catalogue:{out}"))
        page = bring(client, back, file.content)
        assert set(kinds(page)) == {"same"}, [row.changes for row in page.context["found"].rows]


def test_a_new_item_and_a_changed_one_are_shown_then_taken_over(client: Client) -> None:
    sand = make_sand(code="SND-1", name="Sand", pack_quantity=5000, hazard_note="dust")
    page = items(
        client, "SND-1,Sand 0.2 mm,filler,g,bag,5000",
        "KIT-9,Kit 9,resin kit,piece,kit,1,4800,2200",
        head=f'{HEAD},"Part A, g","Part B, g"',
    )  # fmt: skip
    assert kinds(page) == ["changed", "new"]
    assert Item.objects.count() == 1
    done = client.post(reverse("catalogue:import"), {"rows": page.context["carried"]})
    assert done.status_code == 302
    sand.refresh_from_db()
    # What the file has no column for stays.
    assert (sand.name, sand.hazard_note, sand.version) == ("Sand 0.2 mm", "dust", 2)
    kit = Item.objects.get(code="KIT-9")
    assert (kit.kind, kit.part_a_g, kit.uv_stable, kit.season) == ("kit", 4800, True, "all")
    assert set(Event.objects.values_list("verb", flat=True)) == {
        "catalogue.add", "catalogue.change",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("X,Kit,resin kit,piece,kit,1", "a kit has both parts"),
        ("X,Sand,gravel,g,bag,5000", "'gravel' is not one of"),
        ("X,Sand,filler,stone,bag,5000", "is not one of: piece, g, ml, mm"),
        ("X,Sand,filler,g,bag,0", "too small; at least 1"),
        ("X,Sand,filler,g,bag,half", "is no figure"),
        (",Sand,filler,g,bag,5", "Fill this in."),
        (f"{'X' * 21},Sand,filler,g,bag,5", "At most 20 characters"),
    ],
)
def test_what_an_item_cannot_be_is_refused_by_line(client: Client, row: str, said: str) -> None:
    page = items(client, row)
    assert page.status_code == 422
    assert said in sentence(page)
    assert not Item.objects.exists()


def test_the_unit_of_an_item_with_lots_stays(client: Client) -> None:
    make_lot(make_sand(code="SND-1", name="Sand"))
    assert "cannot change" in sentence(items(client, "SND-1,Sand,filler,ml,bag,5000"))


def test_the_code_of_an_item_that_was_put_away_is_not_taken_again(client: Client, at: Any) -> None:
    make_sand(code="SND-1", archived_at=at)
    assert "was put away" in sentence(items(client, "SND-1,Sand,filler,g,bag,5000"))


def test_a_blend_card_comes_in_with_what_goes_into_a_mix(client: Client) -> None:
    make_kit(code="KIT-1")
    make_stone(code="STN-1")
    make_sand(code="SND-1")
    page = blends(client, "Buff,kit-1,4 x STN-1; 0.5 * snd-1,3.15,20")
    assert kinds(page) == ["new"]
    client.post(reverse("catalogue:blend_import"), {"rows": page.context["carried"]})
    card = Blend.objects.get()
    assert [(row.item.code, row.bags) for row in card.components.all()] == [
        ("STN-1", Decimal(4)), ("SND-1", Decimal("0.5")),
    ]  # fmt: skip
    # The same in another spelling is no change; another number of bags is one.
    assert kinds(blends(client, "Buff,KIT-1,4.00 × stn-1;0.50×SND-1,3.15,20")) == ["same"]
    changed = blends(client, "Buff,KIT-1,4 × STN-1; 1 × SND-1,3.15,20")
    (row,) = changed.context["found"].rows
    assert [(c.head, c.before, c.after) for c in row.changes] == [
        ("Goes in", "4 × STN-1; 0.5 × SND-1", "4 × STN-1; 1 × SND-1"),
    ]  # fmt: skip
    client.post(reverse("catalogue:blend_import"), {"rows": changed.context["carried"]})
    card.refresh_from_db()
    assert (card.version, card.components.last().bags) == (2, 1)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Buff,KIT-1,four STN-1,3.15,20", "is not bags and a code"),
        ("Buff,KIT-1,4 × STN-9,3.15,20", "no item with the code 'STN-9'"),
        ("Buff,KIT-1,0 × STN-1,3.15,20", "give more than 0"),
        ("Buff,KIT-1,4 × STN-1; 1 × STN-1,3.15,20", "stands once on a card"),
        ("Buff,STN-1,4 × STN-1,3.15,20", "is no kit"),
        ("Buff,KIT-1,4 × STN-1,3.15,", "give both"),
        ("Buff,KIT-1,4.5.6 × STN-1,3.15,20", "no number of bags"),
    ],
)
def test_a_card_that_does_not_hold_is_refused_by_line(client: Client, row: str, said: str) -> None:
    make_kit(code="KIT-1")
    make_stone(code="STN-1")
    assert said in sentence(blends(client, row))
    assert not Blend.objects.exists()


def test_a_card_says_where_it_is_used(client: Client) -> None:
    site = make_site_with(1)
    open_day(site)
    page = client.get(site.blend.get_absolute_url()).content.decode()
    assert "Reckoned with it" in page
    assert f"{site.job.reference}, {site.job.site}, 14 May 2026: bay A" in page
