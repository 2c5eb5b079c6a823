"""Files as a phone, a scanner or an enemy makes them."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image
from PIL.PngImagePlugin import PngInfo

# A place in the sea, so that it is nobody's: 50° 30' N, 1° 15' W.
PLACE = {1: "N", 2: (50.0, 30.0, 0.0), 3: "W", 4: (1.0, 15.0, 0.0)}
PDF = b"%PDF-1.7\n1 0 obj << >> endobj\ntrailer << >>\n%%EOF\n"


def photo(kind: str = "JPEG", size: tuple[int, int] = (60, 40), **more: Any) -> bytes:
    """Return a photo, red on its left half and blue on its right."""
    picture = Image.new("RGB", size, (0, 0, 255))
    picture.paste((255, 0, 0), (0, 0, size[0] // 2, size[1]))
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


def telling_exif(turned: int = 1) -> Image.Exif:
    """Return what a phone writes: make, place, and how it was held (Exif 2.32, tags 4.6.4)."""
    exif = Image.Exif()
    exif[0x010F] = "TELLTALE camera"
    exif[0x0112] = turned
    exif[0x8825] = PLACE
    return exif


def telling_photo() -> bytes:
    """Return a photo that tells in every way a JPEG can: EXIF, comment, XMP, profile, a tail."""
    data = photo(
        exif=telling_exif(), comment=b"TELLTALE comment", xmp=b"<x>TELLTALE xmp</x>",
        icc_profile=b"TELLTALE profile",
    )  # fmt: skip
    return data + b"TELLTALE tail <script>alert(1)</script>"


def telling_png() -> bytes:
    info = PngInfo()
    info.add_text("Author", "TELLTALE author")
    return photo("PNG", pnginfo=info, exif=telling_exif())


def bomb(side: int = 20_000) -> bytes:
    """Return a small, whole PNG of side × side white or black points (PNG, 11.2.2: 1 bit each)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        check = zlib.crc32(name + body)
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    body = zlib.compress(bytes((1 + (side + 7) // 8) * side))  # a filter byte a row
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
