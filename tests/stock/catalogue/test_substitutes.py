"""What may stand in for an item: its page, its order, its sheet, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from stock.catalogue.models import Item
from stock.catalogue.services import add_substitute, ask_substitute_first, remove_substitute
from tests.factories import AT, make_kit, make_sand, make_stone

pytestmark = pytest.mark.django_db


def stand_ins(item: Item) -> list[Item]:
    return [row.stand_in for row in item.substitutes.all()]


def test_stand_ins_are_added_put_first_and_taken_out_on_the_items_page(
    client_for: Any, storeman: Any
) -> None:
    gold, pale, dark = make_stone(name="Gold"), make_stone(name="Pale"), make_stone(name="Dark")
    client = client_for(storeman)
    for stand_in in (pale, dark):
        added = client.post(
            reverse("catalogue:substitute", args=[gold.pk]), {"stand_in": stand_in.pk}
        )
        assert added.status_code == 302
    assert stand_ins(gold) == [pale, dark]
    page = client.get(gold.get_absolute_url()).content.decode()
    assert page.index("Pale") < page.index("Dark")
    assert "It stands in for" in client.get(pale.get_absolute_url()).content.decode()

    client.post(reverse("catalogue:substitute_first", args=[gold.pk, dark.pk]))
    assert stand_ins(gold) == [dark, pale]
    client.post(reverse("catalogue:substitute_remove", args=[gold.pk, dark.pk]))
    assert stand_ins(gold) == [pale]
    events = Event.objects.filter(verb="catalogue.substitutes").order_by("pk")
    assert [event.after["stand-ins"] for event in events] == [
        pale.code, f"{pale.code}, {dark.code}", f"{dark.code}, {pale.code}", pale.code,
    ]  # fmt: skip
    # Doing again what is done writes nothing.
    remove_substitute(item_id=gold.pk, stand_in_id=dark.pk, by=None, at=AT)
    ask_substitute_first(item_id=gold.pk, stand_in_id=pale.pk, by=None, at=AT)
    assert events.count() == 4


def test_what_cannot_stand_in_is_refused_with_its_reason() -> None:
    gold, kit = make_stone(), make_kit()
    away, heavier = make_stone(archived_at=AT), make_kit(part_b_g=(kit.part_b_g or 0) + 1)
    for item, stand_in, why in (
        (gold, gold, "for itself"),
        (gold, make_sand(), "can stand in for"),
        (gold, away, "put away"),
        (kit, heavier, "other masses"),
    ):
        with pytest.raises(ServiceError, match=why) as refusal:
            add_substitute(item_id=item.pk, stand_in_id=stand_in.pk, by=None, at=AT)
        assert refusal.value.field == "stand_in"
        assert not stand_ins(item)
    other = make_stone()
    add_substitute(item_id=gold.pk, stand_in_id=other.pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="already"):
        add_substitute(item_id=gold.pk, stand_in_id=other.pk, by=None, at=AT)


def test_the_form_offers_only_what_can_stand_in(client_for: Any, storeman: Any) -> None:
    gold, pale, sand = make_stone(), make_stone(), make_sand()
    url = reverse("catalogue:substitute", args=[gold.pk])
    client = client_for(storeman)
    assert list(client.get(url).context["form"].fields["stand_in"].queryset) == [pale]
    assert client.post(url, {"stand_in": sand.pk}).status_code == 422
    assert client.post(url, {"stand_in": "x"}).status_code == 422
    assert not stand_ins(gold)


def test_stand_ins_go_out_and_come_in_with_the_sheet(client_for: Any, storeman: Any) -> None:
    gold, pale, dark = (make_stone(code=code) for code in ("GOLD", "PALE", "DARK"))
    add_substitute(item_id=gold.pk, stand_in_id=pale.pk, by=None, at=AT)
    client = client_for(storeman)
    url = reverse("catalogue:import")

    def look(text: str) -> Any:
        return client.post(url, {"file": SimpleUploadedFile("items.csv", text.encode("utf-8"))})

    out = client.get(reverse("catalogue:export")).content.decode("utf-8-sig")
    assert "May be replaced by" in out
    assert {row.kind for row in look(out).context["found"].rows} == {"same"}
    head = "Code,Name,Kind,Counted in,A pack is called,A pack holds,May be replaced by"
    line = f'GOLD,"{gold.name}",stone,g,bag,{gold.pack_quantity}'
    page = look(f"{head}\r\n{line},dark; PALE")
    assert [row.kind for row in page.context["found"].rows] == ["changed"]
    client.post(url, {"rows": page.context["carried"]})
    assert stand_ins(gold) == [dark, pale]
    for cell, said in (
        ("NONE", "no item with the code"),
        ("GOLD", "itself"),
        ("PALE;PALE", "twice"),
    ):
        refused = look(f"{head}\r\n{line},{cell}")
        assert refused.status_code == 422
        (row,) = refused.context["found"].rows
        assert said in " ".join(row.sentences)
    assert stand_ins(gold) == [dark, pale]
