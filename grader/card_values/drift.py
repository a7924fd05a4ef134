"""How far a card in use has drifted from its twin that was kept in the dark: both in one photo, patch against patch.

Light and phone are the same for both, so what the correction gets wrong it gets wrong twice, and the difference is free
of it. Each card is held against its own bare paper, because the light differs from one place to the other: what shows
is how the inks changed against the paper. Of the paper itself only its tint is compared.
"""

from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray, MaskArray, PixelArray, frozen
from grader.card.condition import check_readings
from grader.card.model import FoundSheet, Layout, SheetReadings
from grader.card.reading import read_patches
from grader.card_values.samples import sheet_samples
from grader.colour import (
    Correction,
    apply_correction,
    ciede2000,
    fit_light,
    fit_sheet_colour,
    fry_weights,
    lab_to_xyz,
    light_at,
    noise_lab_u,
    refuse_poor_fit,
    xyz_to_lab,
)
from grader.colour.light import MIN_SPOTS
from grader.errors import ColourFitPoor

MIN_PATCHES = 12
LEVEL_U = 0.004
"""Relative: how well the bare spots of one card tell the light on it, over and above their scatter (our choice)."""
LEFT_LAB_U = (0.1, 0.25, 0.25)
"""CIELAB: what a light that falls off by a quarter to two fifths over two cards, seen at 6 to 10 degrees, leaves of a
difference that is none: root mean square over drawn cards, photographed by a camera of our own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardDrift:
    """The card in use less the one from the dark.

    Attributes
    ----------
    numbers
        (n,) of the patches.
    usable
        (n,) both cards' patches could be read.
    dlab, dlab_u
        (n, 3) difference in CIELAB and its standard uncertainty: noise, unevenness, light, and what a correction leaves
        of a difference. How far two new cards of one print run differ is not in it: a comparison made while both were
        new tells.
    de, de_u
        (n,) as CIE 2000 differences.
    mean_de, mean_de_u
        Their mean, patches near the colours of fries counting most.
    paper_dab
        (2,) the papers' difference in a* and b*.
    """

    numbers: tuple[int, ...]
    usable: MaskArray
    dlab: FloatArray
    dlab_u: FloatArray
    de: FloatArray
    de_u: FloatArray
    mean_de: float
    mean_de_u: float
    paper_dab: FloatArray


def compare_cards(pixels: PixelArray, working: FoundSheet, kept: FoundSheet) -> CardDrift:
    """Compare two cards of one layout in one photo.

    Parameters
    ----------
    pixels
        (h, w, 3) as `Photo` has them.
    working, kept
        The card in use, and the one from the dark, in whose colours both are read: it is what the other once was.

    Raises
    ------
    CardUnusable, ColourFitPoor
        Too little of either can be read.
    ValueError
        The cards are of different layouts.
    """
    if working.layout.key != kept.layout.key:
        raise ValueError(f"cards of two layouts can't be compared: {working.layout.key} and {kept.layout.key}")
    sheets = (replace(working, layout=kept.layout), kept)
    seen = [read_patches(pixels, sheet) for sheet in sheets]
    for sheet, readings in zip(sheets, seen, strict=True):
        check_readings(sheet, readings)
        _refuse_without_paper(sheet.layout, readings)
    colour = fit_sheet_colour(sheet_samples(kept.layout, seen[1], None))
    refuse_poor_fit(colour.correction)
    used, dark = (_against_paper(kept.layout, readings, colour.correction) for readings in seen)
    usable = seen[0].patch_usable & seen[1].patch_usable
    if usable.sum() < MIN_PATCHES:
        raise ColourFitPoor(
            f"Only {int(usable.sum())} patches can be read on both cards, and at least {MIN_PATCHES} are needed.",
            hint="Lay both cards side by side in even light, nothing on them, neither burnt out nor in the dark.",
            code="colour_fit_poor",
        )
    dlab, noise_u = used.lab - dark.lab, np.hypot(used.lab_u, dark.lab_u)
    dlab_u = np.hypot(noise_u, LEFT_LAB_U)
    de = ciede2000(used.lab, dark.lab)
    weight = fry_weights(dark.lab) * usable
    own_u = ciede2000(dark.lab + noise_u, dark.lab)
    shared_u = np.hypot(ciede2000(dark.lab + LEFT_LAB_U, dark.lab), _level_de(used, dark))
    return CardDrift(
        numbers=tuple(patch.number for patch in kept.layout.patches),
        usable=frozen(usable),
        dlab=frozen(dlab),
        dlab_u=frozen(dlab_u),
        de=frozen(de),
        de_u=frozen(np.hypot(own_u, shared_u)),
        mean_de=float(weight @ de / weight.sum()),
        mean_de_u=float(np.hypot(np.sqrt(weight**2 @ own_u**2), weight @ shared_u) / weight.sum()),
        paper_dab=frozen((used.paper_lab - dark.paper_lab)[1:]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _CardColours:
    """Patches (n, 3) as corrected and held against their own paper, their own uncertainty, and that of the level."""

    lab: FloatArray
    lab_u: FloatArray
    level_u: float
    paper_lab: FloatArray


def _bare_paper(layout: Layout, readings: SheetReadings) -> MaskArray:
    """(m,) which spots of the ground are paper, and not a mat's field."""
    return np.asarray(np.all(readings.ground_lab == layout.base_lab, axis=1))


def _refuse_without_paper(layout: Layout, readings: SheetReadings) -> None:
    """Each card is held against its own paper, so each must show some."""
    if _bare_paper(layout, readings).sum() < MIN_SPOTS:
        raise ColourFitPoor(
            "The bare paper of one of the two cards can't be read: it is burnt out or covered.",
            hint="Lay both cards side by side in even light, nothing on them, neither burnt out nor in the dark.",
            code="colour_fit_poor",
        )


def _against_paper(layout: Layout, readings: SheetReadings, correction: Correction) -> _CardColours:
    """A card's patches by a correction, as they would look if its own paper were as light as the design has it."""
    paper = _bare_paper(layout, readings)
    xy_mm, seen = readings.ground_xy_mm[paper], apply_correction(correction, readings.ground_rgb[paper])
    known_Y = float(lab_to_xyz(layout.base_lab)[1])
    field = fit_light(xy_mm, seen[:, 1] / known_Y)
    factor, _ = light_at(field, xy_mm)
    level = seen[:, 1] / known_Y / factor
    middle = float(np.median(level))
    there, there_u = light_at(field, layout.patch_middles_mm)
    xyz = apply_correction(correction, readings.patch_rgb) / (there * middle)[:, None]
    scatter = float(np.std(level) / middle / np.sqrt(len(level)))
    return _CardColours(
        lab=xyz_to_lab(xyz),
        lab_u=np.hypot(noise_lab_u(correction, readings.patch_rgb, readings.patch_rgb_u), _scaled(xyz, there_u)),
        level_u=float(np.hypot(LEVEL_U, scatter)),
        paper_lab=xyz_to_lab(np.median(seen / (factor * middle)[:, None], axis=0)),
    )


def _scaled(xyz: FloatArray, relative: FloatArray) -> FloatArray:
    """(n, 3) how far CIELAB moves where all of XYZ grows by a share (n,)."""
    return np.abs(xyz_to_lab(xyz * (1 + relative)[:, None]) - xyz_to_lab(xyz))


def _level_de(used: _CardColours, dark: _CardColours) -> FloatArray:
    """(n,) what the doubt of the light on either card, which all patches share, does to a difference."""
    relative = float(np.hypot(used.level_u, dark.level_u))
    return ciede2000(dark.lab + _scaled(lab_to_xyz(dark.lab), np.full(len(dark.lab), relative)), dark.lab)
