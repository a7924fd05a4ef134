"""Compares fits of a card, and the steps after the fit, by what they make of fries whose true colour is known.

Run: python -m calibration.compare_fits FOLDER... > TABLES.md   (what lies in a folder: `plates_with_truth`)
Prints three tables: fits, steps, lights; `colour-fits.md` holds what came of it.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from calibration.fit_shine import true_shine
from calibration.fits_tried import tries
from calibration.plates_with_truth import PlateWithTruth, flesh_samples, read_plates
from grader.arrays import FloatArray
from grader.colour import (
    D65,
    FleshSample,
    SheetColour,
    Shine,
    apply_correction,
    ciede2000,
    fit_correction,
    fit_sheet_colour,
    flesh_lab,
    fry_weights,
    light_at,
    plain_matrix,
    plate_shine,
    xyz_to_lab,
)
from grader.colour.shine import shine_signs

SHEETS = ("card", "mat", "card, inks", "mat, inks")
USED = "as used"
# What `fit_shine` prints for the white between top and flanks as the only sign.
_BETWEEN_ALONE = (0.0307, 0.515)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateError:
    """What one way made of one plate: its fries' CIELAB less the truth (n, 3), CIE 2000 (n,), and the patches left out.

    `left_out` holds the median and 95th percentile, None where the way is no fit of its own.
    """

    sheet: str
    light: str
    lab_error: FloatArray
    de: FloatArray
    left_out: tuple[float, float] | None = None


Errors = dict[str, list[PlateError]]
"""By the name of a way, what it made of every plate."""


def main(folders: Sequence[Path]) -> None:
    """Measure every plate every way, print the tables."""
    fits: Errors = {}
    steps: Errors = {}
    for plate in read_plates(folders):
        if not plate.plain.any():
            continue
        used = fit_sheet_colour(plate.samples)
        for name, error in fits_of(plate, used).items():
            fits.setdefault(name, []).append(error)
        for name, error in steps_of(plate, used).items():
            steps.setdefault(name, []).append(error)
        print(plate.name, file=sys.stderr)
    print(_counted(steps[USED]))
    for what, ways in (("fit", fits), ("step", steps)):
        print(f"\n{errors_table(what, ways)}\n\n{plates_table(what, ways)}")
    print(f"\n{lights_table(steps[USED])}")


def fits_of(plate: PlateWithTruth, used: SheetColour) -> dict[str, PlateError]:
    """Every fit that is tried, all else as used."""
    found = {}
    for name, attempt in tries().items():
        tried = attempt(plate.samples, used)
        seen = replace(plate, fries=tuple(replace(fry, rgb=tried.seen(fry.rgb)) for fry in plate.fries))
        samples = flesh_samples(seen, tried.colour)
        lab = _as_used(samples, tried.colour)
        left_out = float(np.median(tried.left_out_de)), float(np.percentile(tried.left_out_de, 95))
        found[name] = _error(plate, lab, left_out=left_out)
    return found


def steps_of(plate: PlateWithTruth, used: SheetColour) -> dict[str, PlateError]:
    """The steps after the fit, one at a time switched off or put right."""
    samples = flesh_samples(plate, used)
    shine = plate_shine(samples, used.correction)
    without_shift = replace(used.food_bias, coefficients=np.zeros_like(used.food_bias.coefficients))
    labs = {
        USED: _as_used(samples, used),
        "no shine taken off": _labs(samples, Shine(share=0.0, u=0.0), used),
        "the usual shine on every plate": _labs(samples, plate_shine([], used.correction), used),
        "shine by the white between top and flanks alone": _labs(samples, _by_between_alone(samples, used), used),
        "the true shine (not to be had)": _labs(samples, _true(samples, plate, used), used),
        "no shift of food against inks": _labs(samples, shine, replace(used, food_bias=without_shift)),
        "light taken to be even": _lit_evenly(plate, used),
        "mean of all pixels, not of the top face": _labs(_all_pixels(plate, samples, used), shine, used),
        "a 3x3 matrix and the mean of all pixels, nothing else": _plainly(plate),
    }
    return {name: _error(plate, lab) for name, lab in labs.items()}


def _as_used(samples: Sequence[FleshSample], colour: SheetColour) -> FloatArray:
    return _labs(samples, plate_shine(samples, colour.correction), colour)


def _labs(samples: Sequence[FleshSample], shine: Shine, colour: SheetColour) -> FloatArray:
    return flesh_lab(np.array([sample.top_xyz for sample in samples]), shine, colour)


def _by_between_alone(samples: Sequence[FleshSample], colour: SheetColour) -> Shine:
    signs = shine_signs(samples, colour.correction)
    if signs is None:
        return plate_shine([], colour.correction)
    base, slope = _BETWEEN_ALONE
    return Shine(share=base + slope * signs.between - colour.correction.haze, u=0.0)


def _true(samples: Sequence[FleshSample], plate: PlateWithTruth, colour: SheetColour) -> Shine:
    top = np.array([sample.top_xyz for sample in samples])
    return Shine(share=true_shine(top[plate.plain], plate.true_lab[plate.plain], colour), u=0.0)


def _lit_evenly(plate: PlateWithTruth, used: SheetColour) -> FloatArray:
    """No light field, neither over the patches nor over the fries."""
    samples = plate.samples
    weights = fry_weights(samples.patch_lab) * samples.patch_usable
    correction = fit_correction(samples.patch_rgb, samples.patch_lab, samples.patch_rgb_u, weights=weights)
    colour = replace(used, correction=correction)
    return _as_used(flesh_samples(plate, colour, lit_evenly=True), colour)


def _all_pixels(plate: PlateWithTruth, samples: Sequence[FleshSample], used: SheetColour) -> list[FleshSample]:
    """Each fry's sample with the mean of all its pixels in place of its top's."""
    found = []
    for fry, sample in zip(plate.fries, samples, strict=True):
        light, _ = light_at(used.light, fry.xy_mm)
        xyz = apply_correction(used.correction, fry.rgb) / light[:, None]
        found.append(replace(sample, top_xyz=xyz.mean(axis=0)))
    return found


def _plainly(plate: PlateWithTruth) -> FloatArray:
    """What anybody does first: a matrix from rgb to XYZ, the mean of all of a fry's pixels."""
    use = plate.samples.patch_usable
    matrix = plain_matrix(plate.samples.patch_rgb[use], plate.samples.patch_lab[use])
    return np.array([xyz_to_lab(fry.rgb.mean(axis=0) @ matrix * D65) for fry in plate.fries])


def _error(plate: PlateWithTruth, lab: FloatArray, *, left_out: tuple[float, float] | None = None) -> PlateError:
    """Over the plain fries."""
    lab, true = lab[plate.plain], plate.true_lab[plate.plain]
    return PlateError(
        sheet=("mat" if plate.on_mat else "card") + (", inks" if plate.inks else ""),
        light=plate.illuminant + (", inks" if plate.inks else ""),
        lab_error=lab - true,
        de=ciede2000(lab, true),
        left_out=left_out,
    )


def errors_table(what: str, ways: Errors) -> str:
    """CIE 2000 of fries, median / 95th percentile, by sheet; of patches left out, the mean of these over plates."""
    columns = ["patches left out"] if what == "fit" else []
    rows = {}
    for name, plates in ways.items():
        out = [plate.left_out for plate in plates if plate.left_out is not None]
        cells = ["{:.1f} / {:.1f}".format(*np.mean(out, axis=0))] if out else []
        rows[name] = cells + [_of_sheet(plates, sheet, _spread) for sheet in SHEETS]
    return table([what, *columns, *SHEETS], rows)


def plates_table(what: str, ways: Errors) -> str:
    """Means of plates less the truth: mean of dL*, da*, db* over plates; median of their size."""
    rows = {name: [_of_sheet(plates, sheet, _shift) for sheet in SHEETS] for name, plates in ways.items()}
    return table([f"{what}: plate means", *SHEETS], rows)


def lights_table(plates: Sequence[PlateError]) -> str:
    """As used, light by light."""
    rows = {}
    for light in sorted({plate.light for plate in plates}):
        these = [plate for plate in plates if plate.light == light]
        rows[light] = [str(len(these)), _spread(these), _shift(these)]
    return table(["light", "plates", "CIE 2000 median / 95th", "plate means: dL\\* da\\* db\\* (median size)"], rows)


def table(head: Sequence[str], rows: dict[str, list[str]]) -> str:
    """A Markdown table; a row's name is its first cell.

    Raises
    ------
    ValueError
        If a row has not as many cells as the head.
    """
    for name, cells in rows.items():
        if len(cells) != len(head) - 1:
            raise ValueError(f"{name!r} has {len(cells)} cells where the head has {len(head) - 1}")
    lines = [head, ["---"] * len(head), *([name, *cells] for name, cells in rows.items())]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _of_sheet(plates: Sequence[PlateError], sheet: str, cell: Callable[[list[PlateError]], str]) -> str:
    these = [plate for plate in plates if plate.sheet == sheet]
    return cell(these) if these else "-"


def _spread(plates: Sequence[PlateError]) -> str:
    de = np.concatenate([plate.de for plate in plates])
    return f"{np.median(de):.2f} / {np.percentile(de, 95):.2f}"


def _shift(plates: Sequence[PlateError]) -> str:
    means = np.array([plate.lab_error.mean(axis=0) for plate in plates])
    shift = " ".join(f"{value:+.1f}" for value in means.mean(axis=0))
    return f"{shift} ({np.median(np.linalg.norm(means, axis=1)):.1f})"


def _counted(plates: Sequence[PlateError]) -> str:
    counts = [
        f"{sheet}: {sum(plate.sheet == sheet for plate in plates)}"
        f" ({sum(len(plate.de) for plate in plates if plate.sheet == sheet)} fries)"
        for sheet in SHEETS
    ]
    return f"{len(plates)} plates. " + "; ".join(counts) + "."


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
