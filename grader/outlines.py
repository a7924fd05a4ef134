"""The pipeline for a photo without a card: its fries outlined in pixels, every number in mm or CIELAB refused."""

import hashlib
from dataclasses import dataclass

from grader.errors import PhotoRefused
from grader.fries import Outlined, outline_fries
from grader.grading import Progress
from grader.photo import Photo, read_photo
from grader.reasons import Reason

NO_NUMBERS = Reason(
    code="no_card_used",
    message="Nothing of known size or colour is in the picture, or none was looked for: outlines in pixels only, found "
    "with the camera's own white balance. No length, width, colour or verdict can come of them.",
    hint="For numbers, lay a printed card beside the fries (python -m grader card writes one), photograph them from "
    "above and grade the photo without --no-card.",
)
NO_FRIES = Reason(
    code="no_fries",
    message="No fry could be told from what lies around it.",
    hint="Lay the fries apart on a plate of another colour, whole in the picture, and take it again.",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlinedPhoto:
    """One photo without a card: its fries in pixels, or why it was refused.

    Where it was refused, `outlined` is None. `reasons` says why, or why there are no numbers and how to get some.
    """

    name: str
    sha256: str
    photo: Photo | None
    outlined: Outlined | None
    reasons: tuple[Reason, ...]

    @property
    def refused(self) -> bool:
        """Nothing could be looked for."""
        return self.outlined is None


def outline_photo(data: bytes, *, name: str, progress: Progress) -> OutlinedPhoto:
    """Outline the fries of one photo; one that can't be read comes back refused, never as an exception.

    Parameters
    ----------
    data
        The bytes of the photo's file.
    name
        As its sender calls it; shown to people, never opened.
    progress
        Called as the work goes on.
    """
    try:
        progress(0.0, "reading the photo")
        photo = read_photo(data, name=name)
    except PhotoRefused as refusal:
        reason = Reason(code=refusal.code, message=refusal.message, hint=refusal.hint)
        return refused(name, data, reason)
    progress(0.1, "looking for fries")
    outlined = outline_fries(photo.pixels)
    return OutlinedPhoto(
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        photo=photo,
        outlined=outlined,
        reasons=(NO_NUMBERS,) if outlined.fries else (NO_FRIES, NO_NUMBERS),
    )


def refused(name: str, data: bytes, reason: Reason) -> OutlinedPhoto:
    """A photo in which nothing could be looked for."""
    return OutlinedPhoto(
        name=name, sha256=hashlib.sha256(data).hexdigest(), photo=None, outlined=None, reasons=(reason,)
    )
