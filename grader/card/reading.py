"""What the camera made of a found sheet: its patches, and the light on its bare paper and field."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, PixelArray, frozen
from grader.card.light import PaperState, bare_field, paper_state
from grader.card.model import FoundSheet, Rectangle, SheetReadings
from grader.card.plane import px_per_mm
from grader.card.sampling import sample_squares
from grader.card.squares import BLOCKS, CLIPPED_LIMIT, UNEVEN_LIMIT, block_means, mean_u, trimmed_mean, unevenness
from grader.card.zones import bare_spots_mm, distance_mm, field_spots_mm

_INSET_PX = 6.0
"""Blur and sharpening reach this far from a patch's edge (a sharpening radius of 1.6 px has died away within 5 px)."""
_INSET_SHARE = 0.2
_LEAST_SHARE = 0.3
_MOST_PER_SIDE = 40
_SPOILT_SPOTS = 2
"""A fry that lies on a patch covers the paper beside it too, two or more of the spots around; one may be dirt."""
_AROUND_MM = 12.0
_NEAR_TAG_MM = 5.0
_PAPER_SPOT_MM, _PAPER_SPOT_POINTS = 0.5, 5
_FIELD_SPOT_MM, _FIELD_SPOT_POINTS = 1.5, 9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Paper:
    """Spots of bare paper: places (n, 2), light (n, 3), whether clipped (n,), and their state."""

    xy_mm: FloatArray
    rgb: FloatArray
    clipped: MaskArray
    state: PaperState


def read_patches(pixels: PixelArray, sheet: FoundSheet) -> SheetReadings:
    """The patches and the bare sheet in linear light.

    `patch_rgb_u` includes pixel noise and unevenness within a patch; it doesn't include what the camera did to all
    pixels alike (tone, haze), nor what lies beyond the patch.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded, uint8 or uint16: the photo in which the sheet was found.
    """
    centres_mm, side_mm = sheet.layout.patch_middles_mm, _central_side_mm(sheet)
    per_side = int(np.clip(round(side_mm * px_per_mm(sheet)), 2 * BLOCKS, _MOST_PER_SIDE)) // BLOCKS * BLOCKS
    light, clipped, inside = sample_squares(pixels, sheet, centres_mm, side_mm, per_side)
    paper = _read_paper(pixels, sheet)
    blocks = block_means(light)
    uneven = unevenness(blocks) > UNEVEN_LIMIT
    covered = _spots_around(centres_mm, paper, paper.state.covered)
    hidden = ~inside | (covered >= _SPOILT_SPOTS) | (uneven & (covered > 0))
    shiny = ~hidden & (uneven | (_spots_around(centres_mm, paper, paper.state.shiny) >= _SPOILT_SPOTS))
    clipped_share = clipped.mean(axis=(1, 2))
    ground_xy_mm, ground_rgb, ground_lab = _ground(pixels, sheet, paper)
    return SheetReadings(
        patch_rgb=frozen(trimmed_mean(light)),
        patch_rgb_u=frozen(mean_u(light, blocks)),
        patch_clipped=frozen(clipped_share),
        patch_hidden=frozen(hidden),
        patch_shiny=frozen(shiny),
        patch_usable=frozen(~hidden & ~shiny & (clipped_share <= CLIPPED_LIMIT)),
        paper_clipped=_share(paper.clipped[~paper.state.covered]),
        ground_xy_mm=frozen(ground_xy_mm),
        ground_rgb=frozen(ground_rgb),
        ground_lab=frozen(ground_lab),
    )


def _central_side_mm(sheet: FoundSheet) -> float:
    """Side of the square that is read in the middle of each patch."""
    patch = min(min(p.area.width_mm, p.area.height_mm) for p in sheet.layout.patches)
    inset = max(_INSET_SHARE * patch, _INSET_PX / px_per_mm(sheet))
    return max(patch - 2 * inset, _LEAST_SHARE * patch)


def _read_paper(pixels: PixelArray, sheet: FoundSheet) -> _Paper:
    """All spots of bare paper that lie in the picture, and what state they are in."""
    spots = bare_spots_mm(sheet.layout)
    light, clipped, inside = sample_squares(pixels, sheet, spots, _PAPER_SPOT_MM, _PAPER_SPOT_POINTS)
    xy_mm, rgb = spots[inside], light[inside].mean(axis=(1, 2), dtype=float)
    return _Paper(
        xy_mm=xy_mm,
        rgb=rgb,
        clipped=np.asarray(clipped[inside].any(axis=(1, 2))),
        state=paper_state(xy_mm, rgb, _near_seen_tags(sheet, xy_mm)),
    )


def _near_seen_tags(sheet: FoundSheet, xy_mm: FloatArray) -> MaskArray:
    """(n,) spots close to a tag that was decoded: nothing lies there."""
    size = sheet.layout.tag_size_mm
    seen = [tag for tag in sheet.layout.tags if tag.number not in sheet.hidden_tags]
    areas = [Rectangle(x_mm=tag.x_mm, y_mm=tag.y_mm, width_mm=size, height_mm=size) for tag in seen]
    return np.asarray(np.min([distance_mm(xy_mm, area) for area in areas], axis=0) < _NEAR_TAG_MM)


def _spots_around(centres_mm: FloatArray, paper: _Paper, spoilt: MaskArray) -> FloatArray:
    """(n,) how many of the paper spots around each patch are spoilt."""
    around = np.abs(centres_mm[:, None] - paper.xy_mm).max(axis=2) < _AROUND_MM
    return np.asarray((around & spoilt).sum(axis=1), float)


def _share(mask: MaskArray) -> float:
    return float(mask.mean()) if len(mask) else 0.0


def _ground(pixels: PixelArray, sheet: FoundSheet, paper: _Paper) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Places, light and known colour of the spots of bare paper and, on a mat, of bare field."""
    sound = ~(paper.state.covered | paper.state.shiny | paper.clipped)
    xy_mm, rgb = paper.xy_mm[sound], paper.rgb[sound]
    lab = np.tile(sheet.layout.base_lab, (len(xy_mm), 1))
    if sheet.layout.field_lab is None or not len(xy_mm):
        return xy_mm, rgb, lab
    spots = field_spots_mm(sheet.layout)
    light, clipped, inside = sample_squares(pixels, sheet, spots, _FIELD_SPOT_MM, _FIELD_SPOT_POINTS)
    whole = inside & ~clipped.any(axis=(1, 2))
    field_xy_mm, field_rgb = spots[whole], light[whole].mean(axis=(1, 2), dtype=float)
    ratio = _luminance(sheet.layout.field_lab) / _luminance(sheet.layout.base_lab)
    bare = bare_field((xy_mm, rgb), (field_xy_mm, field_rgb), ratio)
    return (
        np.concatenate([xy_mm, field_xy_mm[bare]]),
        np.concatenate([rgb, field_rgb[bare]]),
        np.concatenate([lab, np.tile(sheet.layout.field_lab, (int(bare.sum()), 1))]),
    )


def _luminance(lab: tuple[float, float, float]) -> float:
    """Y of an L* above 8, white = 1. Source: CIE 15, 8.2.1."""
    return ((lab[0] + 16) / 116) ** 3
