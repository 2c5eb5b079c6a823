"""Which files are taken, and what is done to them first: reckoning on bytes, no rows."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from pathlib import PurePath

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from jobs.kernel.errors import ServiceError

MOST_PIXELS = 40_000_000
LONG_SIDE = 2400
UNREADABLE = (
    UnidentifiedImageError,
    OSError,
    ValueError,
    SyntaxError,
    Image.DecompressionBombError,
    Image.DecompressionBombWarning,
)


@dataclass(frozen=True)
class CheckedFile:
    """Bytes that were looked into, not only named: their type, their hash, a harmless name."""

    name: str
    content_type: str
    data: bytes

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.data).hexdigest()


def check_file(data: bytes, name: str, *, most_bytes: int) -> CheckedFile:
    """Return a photo re-encoded without its hidden data, or a PDF as it is.

    Raises ServiceError for an empty, too large, broken or foreign file; it says what is taken.
    """
    stem = "".join(c for c in PurePath(name.replace("\\", "/")).stem if c.isalnum() or c in " -_")
    stem = " ".join(stem.split())[:80] or "file"
    if not data:
        raise ServiceError("The file is empty.", field="file", code="empty")
    if len(data) > most_bytes:
        raise ServiceError(
            f"The file has {len(data) / 1e6:.1f} MB; {most_bytes / 1048576:.0f} MB is the most.",
            field="file",
            code="too_large",
        )
    if data.startswith(b"%PDF-"):
        return CheckedFile(f"{stem}.pdf", "application/pdf", data)
    return CheckedFile(f"{stem}.jpg", "image/jpeg", _photo(data))


def _photo(data: bytes) -> bytes:
    """Decode and encode again: what is not picture (place, camera, scripts) stays behind."""
    # WeasyPrint, once a process has loaded it, lets half a picture pass everywhere.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise ServiceError(
                    "The photo has more than 40 million points; take a smaller one.",
                    field="file",
                    code="too_many_points",
                )
            picture.draft("RGB", (LONG_SIDE, LONG_SIDE))
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((LONG_SIDE, LONG_SIDE))
            drawn = _on_white(upright)
    except UNREADABLE as error:
        raise ServiceError(
            "This is neither a photo (JPEG, PNG, WebP) nor a PDF that can be read.",
            field="file",
            code="foreign",
        ) from error
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue()


def _on_white(picture: Image.Image) -> Image.Image:
    """Return the points alone, on white where it was see-through: a new picture knows nothing."""
    drawn = Image.new("RGB", picture.size, "white")
    see_through = picture.convert("RGBA")
    drawn.paste(see_through, mask=see_through.getchannel("A"))
    return drawn
