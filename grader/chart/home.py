"""A printed card calibrated at home: photographed beside a chart of known colours, under at least two lights.

A camera doesn't see as the eye does: under one light a card's ink may look like a chart's patch to it and not to us.
Under several lights such errors differ, so their mean is nearer to the truth and their spread shows how large they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card_values.model import CardValues
from grader.chart.beside import BesideChart, read_beside
from grader.chart.lights import APART_DE, apart_de, by_light
from grader.chart.model import ChartValues
from grader.colour import ciede2000
from grader.errors import CardUnusable, ColourFitPoor, PhotoRefused

CHART_U = 0.5
"""CIELAB units a channel: how far a chart kept clean and dark is from its edition's published values (common practice,
no source)."""
INKS_U = (0.0, 0.5, 1.7)
"""CIELAB units, by channel: what a card's inks bring on top of that, being made of other colorants than the chart, and
alike under all lights, so that their spread doesn't show it. Measured on prints and cameras simulated from spectra."""
DISAGREE_DE = 4.0
"""Median CIE 2000 difference of the card's patches between two lights beyond which a mean of both means nothing. Lamps
that suit give 1 to 3."""
_FEWEST_LIGHTS = 2
_MOST_SHARE = 0.75


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HomeCalibration:
    """A card's values by a chart, and how well the lights agreed.

    Attributes
    ----------
    lights
        Names of the photographs, light by light.
    between_de
        Median CIE 2000 difference of the card's patches between the two lights that differ most.
    left_out_de
        Median CIE 2000 error of the chart's patches as the others predict them, worst photograph.
    """

    values: CardValues
    lights: tuple[tuple[str, ...], ...]
    between_de: float
    left_out_de: float


def calibrate_by_chart(
    photos: Sequence[tuple[str, bytes]],
    values: ChartValues,
    *,
    run: str | None,
    measured_on: date,
    expires_on: date,
    by: str,
) -> HomeCalibration:
    """The values of a card's print run from photographs of the card beside a chart.

    The uncertainty includes the error of chart patches left out of the fit, the variance between lights over their
    number (of all patches together, or of the patch itself where that is more), what inks bring beyond that, the
    chart's own tolerance, noise, and the doubt about the light between chart and card. It doesn't include how far other
    cards of the run are from this one.

    Parameters
    ----------
    photos
        Name and bytes of each.
    values
        What the chart is known to be.
    run
        The card's print run; None to take it from the serial in the photographs.
    by
        Initials.

    Raises
    ------
    PhotoRefused
        A photo can't be used (its name stands in the message), cards differ, the lights are alike or disagree.
    """
    seen = [_read(name, data, values) for name, data in photos]
    settled = _settled_run(seen, run)
    _refuse_other_layouts(seen)
    lights = by_light(seen)
    _refuse_alike(seen, lights)
    lab = np.stack([_mean(np.stack([photo.lab for photo in light])) for light in lights])
    _refuse_unread(seen[0], lab)
    between = _between_de(lab)
    if between > DISAGREE_DE:
        raise ColourFitPoor(
            f"The lights disagree on the card's colours by {between:.1f} (CIE 2000, median), and more than"
            f" {DISAGREE_DE:.0f} can't be averaged.",
            hint="Leave out tubes and coloured lamps: take daylight through a window, and tungsten or a white LED.",
            code="lights_disagree",
        )
    return HomeCalibration(
        values=_card_values(
            seen, lab, run=settled, measured_on=measured_on, expires_on=expires_on, by=by, chart=values, lights=lights
        ),
        lights=tuple(tuple(photo.name for photo in light) for light in lights),
        between_de=between,
        left_out_de=max(float(np.nanmedian(photo.correction.left_out_de)) for photo in seen),
    )


def _read(name: str, data: bytes, values: ChartValues) -> BesideChart:
    try:
        return read_beside(data, name=name, values=values)
    except PhotoRefused as refusal:
        raise PhotoRefused(
            f"{name} could not be judged: {refusal.message}", hint=refusal.hint, code=refusal.code
        ) from refusal


def _settled_run(seen: Sequence[BesideChart], run: str | None) -> str:
    """The run that was said, or that the cards' serials say; both must agree."""
    read = {photo.serial.run for photo in seen if photo.serial is not None} | ({run} if run else set())
    if len(read) > 1:
        raise CardUnusable(
            f"These are cards of several print runs: {', '.join(sorted(read))}.",
            hint="Photograph one card, and name its own run after --run.",
            code="cards_differ",
        )
    if not read:
        raise CardUnusable(
            "The card's serial can't be read in any of the photos.",
            hint="Name the print run after --run; it is the first part of the serial on the card.",
            code="run_unknown",
        )
    return read.pop()


def _refuse_other_layouts(seen: Sequence[BesideChart]) -> None:
    keys = sorted({photo.layout.key for photo in seen})
    if len(keys) > 1:
        raise CardUnusable(
            f"These are different sheets: {', '.join(keys)}.",
            hint="Photograph the same card in each photo.",
            code="cards_differ",
        )


def _refuse_alike(seen: Sequence[BesideChart], lights: Sequence[Sequence[BesideChart]]) -> None:
    if len(lights) >= _FEWEST_LIGHTS:
        return
    apart = max((apart_de(one, other) for one in seen for other in seen if one is not other), default=0.0)
    raise ColourFitPoor(
        "All photos were taken under one light, or under lights too much alike: they show the chart's colours alike to"
        f" {apart:.2f} (CIE 2000, median), and lights that differ show {APART_DE} or more.",
        hint="Take one photo in daylight by a window and one under a warm lamp, each without the other light.",
        code="lights_alike",
    )


def _refuse_unread(photo: BesideChart, lab: FloatArray) -> None:
    """Every colour of the card must have been read under one light at least, and most of them under two."""
    names = [*(f"patch {patch.number}" for patch in photo.layout.patches), "the paper", "the field"]
    times = np.isfinite(lab).all(axis=2).sum(axis=0)
    unread = [names[index] for index in np.flatnonzero(times == 0)]
    if unread or np.mean(times >= _FEWEST_LIGHTS) < _MOST_SHARE:
        raise CardUnusable(
            f"Of the card can't be read under any light: {', '.join(unread)}."
            if unread
            else "Too many of the card's colours can be read under one light only.",
            hint="Keep reflections, shadows and things off the card, and take care that nothing burns out.",
            code="card_partly_hidden",
        )


def _mean(lab: FloatArray) -> FloatArray:
    """(k, 3) mean over the photographs or lights (m, k, 3) that could read each colour; nan where none could."""
    read = np.isfinite(lab)
    return np.where(read.any(axis=0), np.where(read, lab, 0.0).sum(axis=0) / np.maximum(read.sum(axis=0), 1), np.nan)


def _between_de(lab: FloatArray) -> float:
    pairs = [(one, other) for number, one in enumerate(lab) for other in lab[number + 1 :]]
    return max(float(np.nanmedian(ciede2000(one, other))) for one, other in pairs)


def _u(seen: Sequence[BesideChart], lab: FloatArray) -> FloatArray:
    """(k, 3) standard uncertainty of the mean over lights (m, k, 3); what it includes `calibrate_by_chart` says.

    The error of left-out chart patches and the chart's tolerance are much the same under every light, so that they
    don't shrink with their number.
    """
    times = np.isfinite(lab).sum(axis=0)
    own = np.where(times > 1, np.square(lab - _mean(lab)).sum(axis=0, where=np.isfinite(lab)), 0) / np.maximum(
        times - 1, 1
    )
    spread = np.maximum(own, own.mean(axis=0, where=times > 1)) / times
    left_out = np.mean([photo.left_out_u**2 for photo in seen], axis=0)
    noise = np.nanmean([photo.noise_u**2 + photo.level_u**2 for photo in seen], axis=0)
    return np.asarray(np.sqrt(CHART_U**2 + np.square(INKS_U) + left_out + spread + noise))


def _card_values(  # noqa: PLR0913 - what a document of values holds
    seen: Sequence[BesideChart],
    lab: FloatArray,
    *,
    run: str,
    measured_on: date,
    expires_on: date,
    by: str,
    chart: ChartValues,
    lights: Sequence[Sequence[BesideChart]],
) -> CardValues:
    layout = seen[0].layout
    mean, u, count = _mean(lab), _u(seen, lab), len(layout.patches)
    has_field = layout.field_lab is not None
    return CardValues(
        run=run,
        layout=layout.key,
        patch_lab=frozen(mean[:count].copy()),
        patch_lab_u=frozen(u[:count].copy()),
        base_lab=frozen(mean[count].copy()),
        base_lab_u=frozen(u[count].copy()),
        field_lab=frozen(mean[count + 1].copy()) if has_field else None,
        field_lab_u=frozen(u[count + 1].copy()) if has_field else None,
        method="chart",
        measured_on=measured_on,
        expires_on=expires_on,
        measured_by=by,
        instrument=f"{len(seen)} photographs under {len(lights)} lights beside a {chart.name}",
    )
