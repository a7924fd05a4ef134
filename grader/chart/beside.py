"""One photograph of a printed card beside a chart: the card's colours as the chart's known ones tell them."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, PixelArray, frozen
from grader.card import check_readings, find_sheet, load_layouts, pixels_to_sheet, read_patches
from grader.card.homography import apply_homography
from grader.card.model import FoundSheet, Layout, SheetReadings
from grader.card.serial import Serial, read_serial
from grader.chart.finding import find_chart
from grader.chart.model import PATCH_CENTRES, ChartReadings, ChartValues
from grader.chart.reading import read_chart
from grader.colour import (
    Correction,
    LightField,
    apply_correction,
    fit_correction,
    fit_light,
    fry_weights,
    lab_to_xyz,
    light_at,
    noise_lab_u,
    refuse_poor_fit,
    xyz_to_lab,
)
from grader.errors import ColourFitPoor
from grader.photo import check_sheet_exposure, read_photo

LEAST_PATCHES = 18
"""Of the chart's 24: a quarter may be burnt out, in a reflection or covered."""
_DARKEST = 0.02
_TURNS = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BesideChart:
    """What one photograph says of a card.

    Attributes
    ----------
    serial
        Of the card, None where it carries none or it can't be read.
    lab
        (n + 1, 3), on a mat (n + 2, 3): CIELAB, D65, of the card's patches, its paper, its field; nan where one could
        not be read.
    noise_u
        The same shape: what pixel noise and unevenness do to them.
    level_u
        The same shape: what the doubt about the light at the card against that at the chart does to them.
    left_out_u
        (3,) root mean square CIELAB error of the chart's patches, each predicted by the others, those near the colours
        of fries counting for more as in the fit: what the correction does to a colour that it was not fitted to.
    chart, chart_light, correction
        Readings of the chart, the light's factor at its patches (24,), and the correction fitted to them.
    """

    name: str
    layout: Layout
    serial: Serial | None
    lab: FloatArray
    noise_u: FloatArray
    level_u: FloatArray
    left_out_u: FloatArray
    chart: ChartReadings
    chart_light: FloatArray
    correction: Correction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Card:
    """Readings of a card's patches and bare surfaces: rgb and its u (k, 3), places (k, 2) mm; rgb nan where unread."""

    rgb: FloatArray
    rgb_u: FloatArray
    xy_mm: FloatArray


def read_beside(data: bytes, *, name: str, values: ChartValues) -> BesideChart:
    """Correct a photograph by the chart in it, and read the card's colours.

    Raises
    ------
    PhotoRefused
        The photo, its card or its chart can't be used; `message` says which, `hint` what to do.
    """
    photo = read_photo(data, name=name)
    sheet = find_sheet(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    readings = read_patches(photo.pixels, sheet)
    check_sheet_exposure(readings.patch_rgb, readings.patch_clipped)
    check_readings(sheet, readings)
    chart, chart_xy_mm = _chart_beside(photo.pixels, sheet, values)
    correction, light = _fit(chart, chart_xy_mm, readings, values)
    refuse_poor_fit(correction)
    card = _card(sheet.layout, readings)
    factor, factor_u = light_at(light, card.xy_mm)
    chart_light, chart_light_u = light_at(light, chart_xy_mm)
    return BesideChart(
        name=name,
        layout=sheet.layout,
        serial=read_serial(photo.pixels, sheet),
        lab=frozen(_lab(correction, card.rgb, factor)),
        noise_u=frozen(noise_lab_u(correction, card.rgb, card.rgb_u, light=factor)),
        level_u=frozen(_level_u(correction, card, factor, np.hypot(factor_u, np.sqrt(np.mean(chart_light_u**2))))),
        left_out_u=frozen(_left_out_u(correction, values)),
        chart=chart,
        chart_light=frozen(chart_light),
        correction=correction,
    )


def _chart_beside(pixels: PixelArray, sheet: FoundSheet, values: ChartValues) -> tuple[ChartReadings, FloatArray]:
    """The chart's readings, and where its patches lie in the card's mm (24, 2)."""
    found = find_chart(pixels, values.patch_lab, leave_out_px=sheet.corners_px)
    readings = read_chart(pixels, found.homography)
    usable = int(readings.usable.sum())
    if usable < LEAST_PATCHES:
        raise ColourFitPoor(
            f"Only {usable} of the chart's 24 patches can be used, and at least {LEAST_PATCHES} are needed.",
            hint="Keep reflections and shadows off the chart, and see that neither white burns out nor black drowns.",
            code="chart_unusable",
        )
    return readings, pixels_to_sheet(sheet, apply_homography(found.homography, PATCH_CENTRES))


def _fit(
    chart: ChartReadings, chart_xy_mm: FloatArray, readings: SheetReadings, values: ChartValues
) -> tuple[Correction, LightField]:
    """Correction by the chart, and the light over both, in turns.

    The card's paper shows how the light falls off, though not its own colour, which is still to be found: each surface
    keeps a level of its own. The chart's patches, whose colours are known, go on with it where they lie.
    """
    surface = np.unique(readings.ground_lab, axis=0, return_inverse=True)[1].ravel()
    known = lab_to_xyz(np.vstack([readings.ground_lab, values.patch_lab]))[:, 1]
    places = np.vstack([readings.ground_xy_mm, chart_xy_mm])
    rgb = np.vstack([readings.ground_rgb, chart.rgb])
    surface = np.concatenate([surface, np.full(len(chart.rgb), surface.max(initial=-1) + 1)])
    usable = np.concatenate([np.ones(len(readings.ground_rgb), bool), chart.usable])
    weights = fry_weights(values.patch_lab) * chart.usable
    factor = np.ones(len(chart.rgb))
    for _ in range(_TURNS):
        correction = fit_correction(chart.rgb, values.patch_lab, chart.rgb_u, light=factor, weights=weights)
        seen = apply_correction(correction, rgb)[:, 1]
        lit = usable & (np.minimum(seen, known) > _DARKEST)
        light = fit_light(places[lit], (seen / known)[lit], surface=surface[lit])
        factor, _ = light_at(light, chart_xy_mm)
    return correction, light


def _card(layout: Layout, readings: SheetReadings) -> _Card:
    """Patches, then the paper and the field as means over their bare spots."""
    places = list(layout.patch_middles_mm)
    unread = ~readings.patch_usable[:, None]
    rgb = list(np.where(unread, np.nan, readings.patch_rgb))
    rgb_u = list(readings.patch_rgb_u)
    for lab in (layout.base_lab, *([] if layout.field_lab is None else [layout.field_lab])):
        there = (readings.ground_lab == lab).all(axis=1)
        spots = readings.ground_rgb[there] if there.any() else np.full((1, 3), np.nan)
        rgb.append(np.median(spots, axis=0))
        rgb_u.append(spots.std(axis=0) / np.sqrt(len(spots)))
        places.append(readings.ground_xy_mm[there].mean(axis=0) if there.any() else np.zeros(2))
    return _Card(rgb=np.array(rgb), rgb_u=np.array(rgb_u), xy_mm=np.array(places))


def _lab(correction: Correction, rgb: FloatArray, factor: FloatArray) -> FloatArray:
    return xyz_to_lab(apply_correction(correction, rgb) / factor[:, None])


def _left_out_u(correction: Correction, values: ChartValues) -> FloatArray:
    error = correction.left_out_lab_error
    fitted = np.isfinite(error).all(axis=1)
    return np.asarray(np.sqrt(np.average(error[fitted] ** 2, axis=0, weights=fry_weights(values.patch_lab[fitted]))))


def _level_u(correction: Correction, card: _Card, factor: FloatArray, relative_u: FloatArray) -> FloatArray:
    ahead, behind = (_lab(correction, card.rgb, factor * (1 + sign * relative_u)) for sign in (1, -1))
    return np.asarray(np.abs(ahead - behind) / 2)
