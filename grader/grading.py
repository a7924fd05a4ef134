"""The one pipeline: the bytes of a photo in, a judged plate out. Every step is a room's; this page only strings them together."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from grader.card.model import FoundSheet
from grader.decision.model import Verdict
from grader.fries.model import Plate
from grader.photo.model import Photo
from grader.standard.model import Standard

METHOD_VERSION = "1"

Progress = Callable[[float, str], None]
"""Called with the share done (0 to 1) and what is being done, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a photo was refused, or a warning where it was measured."""

    code: str
    message: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourQuality:
    """How well the card's patches could be matched: leave-one-out CIE 2000 error, median and 95th percentile."""

    expected_de: float
    expected_de_95: float
    patches_used: int
    patches_left_out: int
    light_fall_off: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GradedPhoto:
    """One photo graded, or refused: then `plate`, `sheet`, `colour_quality` and `verdict` are None and `reasons` says why."""

    name: str
    sha256: str
    method_version: str
    photo: Photo | None
    sheet: FoundSheet | None
    colour_quality: ColourQuality | None
    plate: Plate | None
    verdict: Verdict | None
    reasons: tuple[Reason, ...]

    @property
    def refused(self) -> bool:
        """The photo could not be judged."""
        return self.plate is None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GradedBatch:
    """Several photos of one batch, and the verdict over all that could be judged (None where none could)."""

    photos: tuple[GradedPhoto, ...]
    standard: Standard
    verdict: Verdict | None


def grade_photo(data: bytes, *, name: str, standard: Standard, progress: Progress | None = None) -> GradedPhoto:
    """Grade one photo; a photo that can't be judged comes back refused with its reasons, never as an exception."""
    raise NotImplementedError


def grade_batch(
    photos: Sequence[tuple[str, bytes]], *, standard: Standard, progress: Progress | None = None
) -> GradedBatch:
    """Grade several photos of one batch together; one bad photo never stops the rest."""
    raise NotImplementedError
