"""Which piece lies where in which photo: balanced over places and heights, drawn by a generator that is handed in."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import cycle
from math import ceil

import numpy as np

from grader.errors import GraderError
from grader.trueness.accepted import DEFAULT_LIMITS, MOST_MONTHS
from grader.trueness.model import (
    LEAST_BARS,
    LEAST_CHIP_PHOTOS,
    LEAST_CHIPS,
    PLACES,
    Kind,
    Kit,
    Laid,
    Piece,
    PlannedPhoto,
)

_BAR_PHOTOS = 6
"""Photos of the bars over all lights, at least: an error that a photo has as a whole is told from few photos only
roughly, and six leave its standard deviation known to about a third."""
_STRIDES = (1, 2, 4, 5, 7, 8)
"""All that share no factor with nine: a piece that moves on by any of them meets nine places before one comes again."""
MOST_PIECES = PLACES * len(_STRIDES)


class PlanImpossibleError(GraderError, ValueError):
    """A study with so few pieces or lights would say nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KitSize:
    """How large a kit is to be.

    Attributes
    ----------
    bars, chips
        How many pieces there are.
    raised_mm
        The second height of the bars; 0 where the method knows one height only (on a mat).
    chip_photos
        Photos of the chips under each light.
    """

    bars: int = 24
    chips: int = 15
    raised_mm: float = 12.0
    chip_photos: int = 3


def plan_kit(size: KitSize, *, sheet: str, lights: Sequence[str], rng: np.random.Generator) -> Kit:
    """A kit with its photos planned and nothing measured yet.

    Every photo of the bars holds all bars, every photo of the chips all chips. From photo to photo a piece moves to
    another place and gets other neighbours; under every light half of the photos of the bars are raised.

    Parameters
    ----------
    size
        How many pieces and photos.
    sheet
        Key of the card's layout.
    lights
        The house's own lights, in words.

    Raises
    ------
    PlanImpossibleError
        Too few or too many pieces, lights or photos.
    """
    _check(size, lights)
    pieces = [Piece(name=f"B{number:02}", kind="bar") for number in range(1, size.bars + 1)]
    pieces += [Piece(name=f"C{number:02}", kind="chip") for number in range(1, size.chips + 1)]
    each = ceil(_BAR_PHOTOS / len(lights))
    heights = (0.0, size.raised_mm) if size.raised_mm else (0.0,)
    each += each % len(heights)
    bar_views = [(light, height) for light in lights for height, _ in zip(cycle(heights), range(each), strict=False)]
    chip_views = [(light, 0.0) for light in lights for _ in range(size.chip_photos)]
    return Kit(
        sheet=sheet,
        print_run="",
        by="",
        lights=tuple(lights),
        length_reference="",
        colour_reference="",
        counts_months=MOST_MONTHS,
        accepted=DEFAULT_LIMITS,
        pieces=tuple(pieces),
        photos=(*_photos("bar", pieces, bar_views, rng), *_photos("chip", pieces, chip_views, rng)),
    )


def _check(size: KitSize, lights: Sequence[str]) -> None:
    for what, count, least in ("bars", size.bars, LEAST_BARS), ("chips", size.chips, LEAST_CHIPS):
        if not least <= count <= MOST_PIECES:
            raise PlanImpossibleError(f"{count} {what} are planned.", hint=f"Plan {least} to {MOST_PIECES}.")
    if not lights or len({light.casefold() for light in lights}) < len(lights) or not all(lights):
        raise PlanImpossibleError("The lights are not told apart.", hint="Name each light of the house once.")
    if size.chip_photos < LEAST_CHIP_PHOTOS:
        raise PlanImpossibleError(
            f"{size.chip_photos} photo of the chips under each light is planned.",
            hint=f"Plan {LEAST_CHIP_PHOTOS} or more: one can't tell its own error from the light's.",
        )


def _photos(
    kind: Kind, pieces: Sequence[Piece], views: Sequence[tuple[str, float]], rng: np.random.Generator
) -> list[PlannedPhoto]:
    names = [piece.name for piece in pieces if piece.kind == kind]
    shuffled = [names[index] for index in rng.permutation(len(names))]
    shifts = rng.permutation(PLACES)
    photos = []
    for turn, (light, raised_mm) in enumerate(views):
        name = f"{kind}s-{turn + 1:02}"
        laid = _laid(shuffled, int(shifts[turn % PLACES]), rng)
        photos.append(
            PlannedPhoto(name=name, kind=kind, light=light, raised_mm=raised_mm, file=f"{name}.jpg", laid=laid)
        )
    return photos


def _laid(names: Sequence[str], shift: int, rng: np.random.Generator) -> tuple[Laid, ...]:
    """Nine pieces at a time go once round the places, each nine with a stride of its own."""
    there: list[list[str]] = [[] for _ in range(PLACES)]
    for index, name in enumerate(names):
        there[(index + _STRIDES[index // PLACES] * shift) % PLACES].append(name)
    return tuple(
        Laid(place=number, pieces=tuple(pieces[index] for index in rng.permutation(len(pieces))))
        for number, pieces in enumerate(there, 1)
        if pieces
    )
