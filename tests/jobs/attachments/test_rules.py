"""Only what can be read as a photo or begins as a PDF is kept, and a photo tells nothing more."""

from __future__ import annotations

import io
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from jobs.attachments.rules import LONG_SIDE, CheckedFile, check_file
from jobs.kernel.errors import ServiceError
from tests.jobs.attachments.files import (
    PDF,
    bomb,
    photo,
    telling_exif,
    telling_photo,
    telling_png,
)

MOST = 10 * 1024 * 1024


def checked(data: bytes, name: str = "drive.jpg", most: int = MOST) -> CheckedFile:
    return check_file(data, name, most_bytes=most)


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize("make", [telling_photo, telling_png])
def test_a_photo_keeps_nothing_but_the_picture(make: Any) -> None:
    data = make()
    assert b"TELLTALE" in data
    kept = checked(data)
    assert b"TELLTALE" not in kept.data
    assert b"<script>" not in kept.data
    with opened(kept.data) as picture:
        assert picture.format == "JPEG"
        assert dict(picture.getexif()) == {}
        assert {"comment", "xmp", "icc_profile", "exif"} & set(picture.info) == set()


def test_a_photo_stands_as_it_was_held() -> None:
    # Exif 2.32, tag 0112: 6 means that the top of the scene is at the right side of the rows.
    kept = checked(photo(exif=telling_exif(turned=6)))
    with opened(kept.data) as picture:
        assert picture.size == (40, 60)
        red, _, blue = picture.getpixel((20, 10))  # type: ignore[misc]
        assert red > blue


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_photos_of_three_kinds_become_jpeg(kind: str) -> None:
    kept = checked(photo(kind), f"drive.{kind.lower()}")
    assert (kept.name, kept.content_type) == ("drive.jpg", "image/jpeg")
    with opened(kept.data) as picture:
        assert picture.size == (60, 40)


def test_what_is_see_through_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    with opened(checked(out.getvalue()).data) as picture:
        assert min(picture.getpixel((10, 10))) > 250  # type: ignore[arg-type]


def test_a_large_photo_is_made_smaller() -> None:
    with opened(checked(photo(size=(4800, 1200))).data) as picture:
        assert picture.size == (LONG_SIDE, 600)


def test_a_pdf_stays_as_it_is() -> None:
    kept = checked(PDF, "The order.PDF")
    assert (kept.name, kept.content_type, kept.data) == ("The order.pdf", "application/pdf", PDF)


@pytest.mark.parametrize(
    "data",
    [
        b"<script>alert(1)</script>",
        b"#!/bin/sh\nrm -r /\n",
        b"GIF89a" + b"\0" * 40,
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"\xff\xd8\xff\xe0 not a photo",
        photo()[:200],
        photo("PNG")[:60],
        b" %PDF-1.7",
        b"MZ" + b"\0" * 100,
    ],
)
def test_a_foreign_or_broken_file_is_refused_whatever_its_name(data: bytes) -> None:
    with pytest.raises(ServiceError) as refused:
        checked(data, "drive.jpg")
    assert (refused.value.field, refused.value.code) == ("file", "foreign")


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(ServiceError, match="empty"):
        checked(b"")


def test_a_file_that_is_too_large_is_refused_with_its_size() -> None:
    with pytest.raises(ServiceError, match=r"has 2\.0 MB; 1 MB is the most"):
        checked(PDF.ljust(2_000_000, b" "), most=1024 * 1024)


@pytest.mark.parametrize(
    ("side", "code"), [(7_000, "too_many_points"), (12_000, "foreign"), (20_000, "foreign")]
)
def test_a_photo_of_too_many_points_is_never_unpacked(side: int, code: str) -> None:
    # 7,000² is above our limit, 12,000² above Pillow's warning (an error here), 20,000² above
    # its error. The picture itself is sound: one of 6,000² is taken.
    data = bomb(side)
    assert len(data) < 60_000
    with pytest.raises(ServiceError) as refused:
        checked(data)
    assert refused.value.code == code


def test_a_photo_of_many_points_is_taken() -> None:
    assert checked(bomb(6_000)).content_type == "image/jpeg"


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../etc/passwd", "passwd.jpg"),
        ("C:\\photos\\drive.jpg", "drive.jpg"),
        ('a"; filename="b.html', "a filenameb.jpg"),
        ("\r\nX-Bad: 1.jpg", "X-Bad 1.jpg"),
        (".jpg", "jpg.jpg"),
        ("...", "file.jpg"),
        ("x" * 300 + ".jpg", "x" * 80 + ".jpg"),
        ("Einfahrt Süd.jpg", "Einfahrt Süd.jpg"),
    ],
)
def test_a_name_is_made_harmless(name: str, kept: str) -> None:
    assert checked(photo(), name).name == kept


@given(data=st.binary(max_size=400), name=st.text(max_size=40))
def test_no_bytes_break_the_check(data: bytes, name: str) -> None:
    try:
        kept = checked(data, name)
    except ServiceError:
        return
    assert kept.content_type in {"application/pdf", "image/jpeg"}
