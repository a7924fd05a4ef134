"""What a photo's EXIF says of the camera.

Cameras and programs write nonsense into it: what can't be true counts as absent.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Self

from PIL import ExifTags, Image

LONGEST_FOCAL_35MM = 1200.0
SHORTEST_FOCAL_35MM = 5.0
"""Fisheye to bird watcher; the tag's 0 means "unknown" (Exif 3.0, FocalLengthIn35mmFilm)."""
_NO_FLASH, _LARGEST_FLASH = 0x20, 0x7F
_YEARS = range(1990, 2101)
"""In which a digital camera can have taken a photo; a clock that was never set often says 1970 or 1980."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraFacts:
    """`orientation` as in Exif, 1 where absent; `focal_35mm` in mm and `taken_at` in ISO 8601, None where absent.

    `flash_fired`: the file says so.
    """

    orientation: int = 1
    focal_35mm: float | None = None
    taken_at: str | None = None
    flash_fired: bool = False

    def with_orientation(self, orientation: int) -> Self:
        """The same facts for a picture that its decoder has turned already."""
        return replace(self, orientation=orientation)


def camera_facts(exif: Image.Exif) -> CameraFacts:
    """The facts that can be believed; never raises."""
    try:
        details = exif.get_ifd(ExifTags.IFD.Exif)
        orientation = exif.get(ExifTags.Base.Orientation)
    except Exception:  # noqa: BLE001  Pillow trips over broken tables in many ways, and every one means "absent"
        return CameraFacts()
    return CameraFacts(
        orientation=orientation if isinstance(orientation, int) and 1 <= orientation <= 8 else 1,
        focal_35mm=_focal(details.get(ExifTags.Base.FocalLengthIn35mmFilm)),
        taken_at=_taken(details.get(ExifTags.Base.DateTimeOriginal), details.get(ExifTags.Base.OffsetTimeOriginal)),
        flash_fired=_fired(details.get(ExifTags.Base.Flash)),
    )


def camera_facts_of_picture(image: Image.Image) -> CameraFacts:
    """The same of an opened file."""
    try:
        exif = image.getexif()
    except Exception:  # noqa: BLE001  as above; pixels that are damaged show when they are decoded
        return CameraFacts()
    return camera_facts(exif)


def camera_facts_of_bytes(exif_bytes: bytes | None) -> CameraFacts:
    """The same from the raw EXIF block of a HEIF file."""
    exif = Image.Exif()
    try:
        exif.load(exif_bytes or b"")
    except Exception:  # noqa: BLE001  as above
        return CameraFacts()
    return camera_facts(exif)


def _focal(value: Any) -> float | None:
    if not isinstance(value, int | float) or not SHORTEST_FOCAL_35MM <= value <= LONGEST_FOCAL_35MM:
        return None
    return float(value)


def _fired(value: Any) -> bool:
    """Exif 3.0, Flash: bit 0 says that it fired, bit 5 that the camera has none; both can't be."""
    return isinstance(value, int) and 0 < value <= _LARGEST_FLASH and bool(value & 1) and not value & _NO_FLASH


def _taken(value: Any, offset: Any) -> str | None:
    moment = _parsed(value, "%Y:%m:%d %H:%M:%S")
    if moment is None or moment.year not in _YEARS:
        return None
    zone = _parsed(offset, "%z")
    return moment.replace(tzinfo=zone.tzinfo if zone else None).isoformat()


def _parsed(value: Any, pattern: str) -> datetime | None:
    if not isinstance(value, str):
        return None
    try:
        return datetime.strptime(value.strip(" \0"), pattern)  # noqa: DTZ007  the camera's clock, zone unknown
    except ValueError:
        return None
