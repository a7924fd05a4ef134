"""Finding a printed sheet in a photo by its tags."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import combinations
from typing import cast

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, PixelArray, frozen
from grader.card.corners import refine_corners
from grader.card.homography import apply_homography, fit_homography
from grader.card.lens import bend
from grader.card.model import FoundSheet, Layout, Tag
from grader.card.plane import fit_plane
from grader.card.pose import estimate_camera
from grader.card.tags import CLOSER_PX, GLANCE_PX, SeenTag, find_tags, shrink_to, tag_corners_mm
from grader.errors import CardUnusable

_AGREES_TAGS = 0.25
"""A tag belongs where the other tags put it, to this share of its own side: far more than any lens or curl moves it."""
_FLAT_TAGS = 0.06
"""Root mean square misfit, in tag sides, beyond which this is not the sheet, or not lying flat: about 1 mm."""
_ENOUGH_SHARE = 0.45
"""Share of the sheet that the tags seen must span: any three corners of a sheet do, two don't."""
_SCALE_U = 0.001
"""Of lengths on the sheet, but for the lens. Measured on rendered plates; a printer's own scale is not in it: that is
what the printed rule is for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Match:
    """Tags of one layout that agree on where it lies; `seen` counts its tags in the photo, agreeing or not."""

    layout: Layout
    agreeing: tuple[tuple[Tag, SeenTag], ...]
    seen: int

    @property
    def tags_mm(self) -> FloatArray:
        """(n, 4, 2) corners on the sheet."""
        return np.stack([tag_corners_mm(self.layout, tag) for tag, _ in self.agreeing])

    @property
    def tags_px(self) -> FloatArray:
        """(n, 4, 2) corners in the photo."""
        return np.stack([found.corners_px for _, found in self.agreeing])

    @property
    def spanned_share(self) -> float:
        hull = cast("FloatArray", cv2.convexHull(self.tags_mm.reshape(-1, 2).astype(np.float32)))
        return float(cv2.contourArea(hull)) / (self.layout.width_mm * self.layout.height_mm)


def find_sheet(pixels: PixelArray, layouts: Sequence[Layout], *, focal_35mm: float | None) -> FoundSheet:
    """The sheet in a photo; where several lie in it, the one with most of its tags in sight.

    See `find_sheets`, whose first it is.
    """
    return find_sheets(pixels, layouts, focal_35mm=focal_35mm)[0]


def find_sheets(pixels: PixelArray, layouts: Sequence[Layout], *, focal_35mm: float | None) -> tuple[FoundSheet, ...]:
    """The sheet in a photo, and a second of the same layout where another lies in it.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded, uint8 or uint16.
    focal_35mm
        EXIF 35 mm equivalent focal length, mm; None where unknown.

    Returns
    -------
    tuple of FoundSheet
        One, or two with the one first that has more of its tags in sight. A second that lies there only in part, or is
        bent, is none.

    Raises
    ------
    CardUnusable
        `card_not_found`, `card_unknown` or `card_partly_hidden`, of the first. Whether something lies on the patches,
        or a reflection, `check_readings` tells once they are read.
    """
    luma = _luma(pixels)
    numbers = {tag.number for layout in layouts for tag in layout.tags}
    matches: list[_Match] = []
    for shrink in dict.fromkeys(shrink_to(luma, side) for side in (GLANCE_PX, CLOSER_PX, np.inf)):
        closer = _best_matches(pixels, find_tags(luma, shrink=shrink, numbers=numbers), layouts)
        matches = max(matches, closer, key=lambda found: [len(match.agreeing) for match in found])
        if matches and all(len(match.agreeing) == len(match.layout.tags) for match in matches):
            break
    if not matches:
        raise _refusal_without_match(luma)
    first, *others = matches
    _refuse_unless_enough(first)
    size_px = (pixels.shape[1], pixels.shape[0])
    sheets = [_found(first, size_px=size_px, focal_35mm=focal_35mm)]
    with suppress(CardUnusable):
        for other in others:
            _refuse_unless_enough(other)
            sheets.append(_found(other, size_px=size_px, focal_35mm=focal_35mm))
    return tuple(sheets)


def _luma(pixels: PixelArray) -> ByteArray:
    eight_bit = pixels if pixels.dtype == np.uint8 else (pixels >> 8).astype(np.uint8)
    return cast("ByteArray", cv2.cvtColor(eight_bit, cv2.COLOR_RGB2GRAY))


def _best_matches(pixels: PixelArray, seen: Sequence[SeenTag], layouts: Sequence[Layout]) -> list[_Match]:
    """The layout with most agreeing tags, and what other tags of it agree on a second place; none without any tag."""
    sharp = [SeenTag(number=tag.number, corners_px=refine_corners(pixels, tag.corners_px)) for tag in seen]
    matches = [match for layout in layouts if (match := _match(sharp, layout))]
    if not matches:
        return []
    best = max(matches, key=lambda match: (len(match.agreeing), match.spanned_share))
    taken = {id(found) for _, found in best.agreeing}
    second = _match([found for found in sharp if id(found) not in taken], best.layout)
    return [best] if second is None else [best, second]


def _match(seen: Sequence[SeenTag], layout: Layout) -> _Match | None:
    """The largest set of tags that lie as this layout has them, one of each number.

    Two tags fix the plane, and each pair is tried: so a tag of another sheet, or one decoded wrongly, doesn't matter.
    """
    by_number = {tag.number: tag for tag in layout.tags}
    pairs = [(by_number[found.number], found) for found in seen if found.number in by_number]
    if not pairs:
        return None
    best: dict[int, tuple[Tag, SeenTag]] = {pairs[0][0].number: pairs[0]}
    for one, other in combinations(pairs, 2):
        if one[0].number == other[0].number:
            continue
        agreeing = _agreeing(layout, (one, other), pairs)
        if len(agreeing) > max(len(best), 1):
            best = agreeing
    return _Match(layout=layout, agreeing=tuple(best.values()), seen=len({tag.number for tag, _ in pairs}))


def _agreeing(
    layout: Layout, basis: tuple[tuple[Tag, SeenTag], tuple[Tag, SeenTag]], pairs: Sequence[tuple[Tag, SeenTag]]
) -> dict[int, tuple[Tag, SeenTag]]:
    """By number, the tags that lie where the plane through two of them puts them; the nearest where one shows twice."""
    homography = fit_homography(
        np.concatenate([tag_corners_mm(layout, tag) for tag, _ in basis]),
        np.concatenate([found.corners_px for _, found in basis]),
    )
    nearest: dict[int, tuple[float, tuple[Tag, SeenTag]]] = {}
    for tag, found in pairs:
        expected = apply_homography(homography, tag_corners_mm(layout, tag))
        side = np.linalg.norm(found.corners_px - np.roll(found.corners_px, 1, axis=0), axis=1).mean()
        off = float(np.linalg.norm(expected - found.corners_px, axis=1).max() / side)
        if off < min(_AGREES_TAGS, nearest.get(tag.number, (np.inf,))[0]):
            nearest[tag.number] = (off, (tag, found))
    return {number: pair for number, (_, pair) in nearest.items()}


def _refusal_without_match(luma: ByteArray) -> CardUnusable:
    if find_tags(luma, shrink=shrink_to(luma, CLOSER_PX)):
        return _unknown()
    return CardUnusable(
        "There is no card or mat in this photo that can be read.",
        hint="Lay the printed card flat beside the plate, with all four corner marks in the picture and in focus.",
        code="card_not_found",
    )


def _unknown() -> CardUnusable:
    return CardUnusable(
        "The card in this photo is none that this program knows.",
        hint="Use a card or mat that was printed with this program, or add the layout of yours to calibration/layouts.",
        code="card_unknown",
    )


def _refuse_unless_enough(match: _Match) -> None:
    if len(match.agreeing) < min(match.seen, 3):
        raise _unknown()
    if match.spanned_share < _ENOUGH_SHARE:
        layout = match.layout
        raise CardUnusable(
            f"Only {len(match.agreeing)} of the {len(layout.tags)} marks of the {layout.name} can be seen.",
            hint="Take whatever lies on it away, bring all of it into the picture, and photograph again.",
            code="card_partly_hidden",
        )


def _found(match: _Match, *, size_px: tuple[int, int], focal_35mm: float | None) -> FoundSheet:
    layout, tags_px = match.layout, match.tags_px
    plane = fit_plane(match.tags_mm, tags_px, size_px)
    side = float(np.linalg.norm(tags_px[0, 0] - tags_px[0, 1]))
    if plane.rms_px > _FLAT_TAGS * side:
        raise CardUnusable(
            f"The marks of the {layout.name} are not where they should be: it is bent, or not printed in one piece.",
            hint="Lay it quite flat; if it is, print it anew at 100 % and photograph again.",
            code="card_unknown",
        )
    outline = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * [layout.width_mm, layout.height_mm]
    hidden = {tag.number for tag in layout.tags} - {tag.number for tag, _ in match.agreeing}
    camera, bent_more = (
        estimate_camera(
            plane.points_mm,
            tags_px.reshape(-1, 2),
            size_px=size_px,
            focal_35mm=focal_35mm,
            radial=radial,
            scale_u=_SCALE_U,
        )
        for radial in (plane.radial, plane.radial + plane.radial_u)
    )
    return FoundSheet(
        layout=layout,
        homography=frozen(plane.homography),
        corners_px=frozen(bend(apply_homography(plane.homography, outline), plane.radial, size_px)),
        camera=replace(camera, bent_more=bent_more),
        hidden_tags=tuple(sorted(hidden)),
        tag_rms_px=plane.rms_px,
    )
