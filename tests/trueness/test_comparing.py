"""From graded photos to a study: rendered fries taken for bars and chips, and pieces painted on a mat."""

import json
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import cv2
import numpy as np
import pytest

from grader.fries.model import Fry, Measured, Plate
from grader.grading import GradedPhoto, grade_photo
from grader.standard import load_shipped
from grader.trueness.agreement import bias_interval, limits_of_agreement
from grader.trueness.comparing import SeenPhoto, compare_photo, make_study
from grader.trueness.components import TooFewReadingsError, fit_components
from grader.trueness.matching import middles_mm
from grader.trueness.model import Kind, Kit, Laid, Piece, PlannedPhoto
from grader.trueness.words import study_lines
from tests.bars.grading import Graded
from tests.trueness.made_up import LIGHTS, Off, kit, study, values
from tests.trueness.painted import painted_photo

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


# --- a rendered plate, nine of its fries taken for pieces ---


@pytest.fixture(scope="module")
def rendered() -> tuple[GradedPhoto, dict[int, dict[str, object]]]:
    """A sample plate graded, and the truth of the fry under the middle of each fry found."""
    from grader.places import sample_folder

    folder = sample_folder() / "b1"
    graded = grade_photo((folder / "b1-plate1.jpg").read_bytes(), name="b1-plate1.jpg", standard=STANDARD)
    mask = cv2.imread(str(folder / "truth" / "b1-plate1.mask.png"), cv2.IMREAD_UNCHANGED)
    assert graded.plate is not None
    assert mask is not None
    truth = {fry["id"]: fry for fry in json.loads((folder / "truth" / "b1-plate1.json").read_text())["fries"]}
    true: dict[int, dict[str, object]] = {}
    for number, fry in enumerate(graded.plate.fries):
        below = mask[graded.plate.labels == fry.number]
        name = int(np.bincount(below[below > 0]).argmax()) if (below > 0).any() else 0
        if name and fry.length_mm is not None and fry.colour is not None and truth[name]["visible_share"] > 0.95:
            true[number] = truth[name]
    return graded, true


def _nine(middles: np.ndarray, usable: Sequence[int]) -> list[int]:
    """Nine fries that happen to lie in three rows and three columns, in the places' order: drawn until it fits."""
    rng = np.random.default_rng(7)
    low, high = middles[list(usable)].min(axis=0), middles[list(usable)].max(axis=0)
    for _ in range(20_000):
        columns, rows = (np.sort(rng.uniform(low[axis], high[axis], 3)) for axis in (0, 1))
        nodes = np.array([(x, y) for y in rows for x in columns])
        apart = np.linalg.norm(nodes[:, None] - middles[list(usable)][None], axis=-1)
        chosen = [usable[index] for index in apart.argmin(axis=1)]
        x, y = middles[chosen].reshape(3, 3, 2).transpose(2, 0, 1)
        clear = all(_parted(lines) for lines in (x.T, y))
        if len(set(chosen)) == 9 and clear:
            return chosen
    raise AssertionError("no nine fries of this plate lie so")


def _parted(lines: np.ndarray) -> bool:
    """Each line ends clearly before the next begins, with less room within any than between two."""
    gaps = lines[1:].min(axis=1) - lines[:-1].max(axis=1)
    return bool(gaps.min() > 1.5 * np.diff(np.sort(lines, axis=1)).max())


def _as_piece(name: str, kind: Kind, true: dict[str, object]) -> Piece:
    if kind == "bar":
        length, width = (Measured(value=float(str(true[key])), u=0.05) for key in ("length_mm", "width_mm"))
        return Piece(name=name, kind=kind, length_mm=length, width_mm=width)
    lab = true["flesh_lab_mean"]
    assert isinstance(lab, list)
    L, a, b = (Measured(value=channel, u=0.3) for channel in lab)
    return Piece(name=name, kind=kind, lab=(L, a, b))


def _nine_of(
    rendered: tuple[GradedPhoto, dict[int, dict[str, object]]], kind: Kind
) -> tuple[PlannedPhoto, list[Piece], Plate, SeenPhoto]:
    graded, true = rendered
    assert graded.plate is not None
    assert graded.sheet is not None
    middles = middles_mm(graded.plate, graded.sheet, height_mm=0.0)
    chosen = _nine(middles, sorted(true))
    pieces = [_as_piece(f"P{place}", kind, true[number]) for place, number in enumerate(chosen, 1)]
    planned = PlannedPhoto(
        name="plate",
        kind=kind,
        light=LIGHTS[0],
        raised_mm=0.0,
        file="plate.jpg",
        laid=tuple(Laid(place=place, pieces=(f"P{place}",)) for place in range(1, 10)),
    )
    # The other fries are taken off the plate; those left come in the order that the grader found them in.
    plate = replace(graded.plate, fries=tuple(graded.plate.fries[number] for number in sorted(chosen)))
    seen = compare_photo(planned, pieces, plate, graded.sheet, height_mm=0.0, sha256=graded.sha256)
    return planned, pieces, plate, seen


@pytest.mark.parametrize("kind", ["bar", "chip"])
def test_each_of_nine_rendered_fries_is_met_and_read_near_its_truth(
    rendered: tuple[GradedPhoto, dict[int, dict[str, object]]], kind: Kind
) -> None:
    _, _, _, seen = _nine_of(rendered, kind)
    assert seen.unclear is None
    assert (seen.met, seen.not_met, seen.without_value, seen.strangers) == (9, (), 0, 0)
    off = {quantity: [one.difference for one in seen.compared if one.quantity == quantity] for quantity in (
        ("length_mm", "width_mm") if kind == "bar" else ("L", "a", "b")
    )}  # fmt: skip
    assert all(len(differences) == 9 for differences in off.values())
    most = {"length_mm": 4.0, "width_mm": 2.0, "L": 6.0, "a": 5.0, "b": 6.0}
    assert all(np.median(np.abs(differences)) < most[quantity] for quantity, differences in off.items())
    assert {one.place for one in seen.compared} == set(range(1, 10))


@pytest.mark.parametrize("kind", ["bar", "chip"])
def test_a_plate_that_was_not_laid_as_the_worksheet_says_is_found_out(
    rendered: tuple[GradedPhoto, dict[int, dict[str, object]]], kind: Kind
) -> None:
    planned, pieces, plate, _ = _nine_of(rendered, kind)
    graded, _ = rendered
    assert graded.sheet is not None
    far = Measured(value=150.0, u=0.05)
    others = [
        replace(piece, length_mm=far) if kind == "bar" else replace(piece, lab=(far, far, far)) for piece in pieces
    ]
    seen = compare_photo(planned, others, plate, graded.sheet, height_mm=0.0, sha256=graded.sha256)
    assert "not those that the worksheet names" in str(seen.unclear)
    assert (seen.compared, seen.met, len(seen.not_met)) == ((), 0, 9)


def test_a_piece_without_size_or_colour_is_counted_not_lost(
    rendered: tuple[GradedPhoto, dict[int, dict[str, object]]],
) -> None:
    planned, pieces, plate, _ = _nine_of(rendered, "chip")
    graded, _ = rendered
    assert graded.sheet is not None
    blind: tuple[Fry, ...] = (replace(plate.fries[0], colour=None), *plate.fries[1:])
    seen = compare_photo(
        planned, pieces, replace(plate, fries=blind), graded.sheet, height_mm=0.0, sha256=graded.sha256
    )
    assert (seen.met, seen.without_value) == (9, 1)
    assert len(seen.compared) == 8 * 3


def test_the_agreement_of_all_sample_plates_with_their_truth(graded_samples: Graded) -> None:
    """Every fry of the samples as a bar that was laid once: limits of agreement as of independent readings.

    Two fries that lie end to end and are taken for one are no reading of either: at most three in a thousand.
    """
    plates = [score for score in graded_samples.scores if score.lengths_mm]
    differences = np.concatenate([[read - true for read, true in score.lengths_mm] for score in plates])
    photos = np.repeat(np.arange(len(plates)), [len(score.lengths_mm) for score in plates])
    alone = np.abs(differences) < 15
    assert np.mean(~alone) <= 0.003
    differences, photos = differences[alone], photos[alone]
    components = fit_components(differences, [photos])
    bias, bias_u = bias_interval(components, reference_u=0.0)
    lower, upper = limits_of_agreement(components, bias)
    inside = np.mean((differences > lower.value) & (differences < upper.value))
    print(f"length, samples: bias {bias.value:+.2f} mm (u {bias_u:.2f}); {lower.value:+.2f} to {upper.value:+.2f} mm")
    assert bias.value == pytest.approx(np.mean(differences))
    assert bias_u >= np.std(differences, ddof=1) / len(differences) ** 0.5 * 0.99
    assert 0.90 <= inside <= 0.99


# --- pieces painted on a mat ---


def _mat_kit() -> Kit:
    planned = kit(bars=20, lights=LIGHTS[:1])
    photos = [replace(photo, raised_mm=0.0) for photo in planned.photos if photo.kind == "bar"][:1]
    return replace(planned, sheet="mat-a3", photos=tuple(photos))


def test_painted_bars_are_found_met_and_measured_and_a_forgotten_one_is_told() -> None:
    planned = _mat_kit()
    photo = planned.photos[0]
    forgotten = photo.laid[2].pieces[0]
    data = painted_photo(planned, photo, size=(1300, 975), without=(forgotten,))
    graded = grade_photo(data, name=photo.file, standard=STANDARD)
    assert graded.plate is not None
    assert graded.sheet is not None
    seen = compare_photo(photo, planned.pieces, graded.plate, graded.sheet, height_mm=0.0, sha256=graded.sha256)
    assert seen.unclear is None
    assert set(seen.not_met) == set(photo.laid[2].pieces)
    assert seen.met == 20 - len(photo.laid[2].pieces)
    assert seen.strangers == 0
    lengths = [one.difference for one in seen.compared if one.quantity == "length_mm"]
    # Painted bars have no height, and the grader takes every fry to be as thick as the cut: some 1 to 2 mm short.
    assert np.abs(np.mean(lengths)) < 2.5
    assert np.std(lengths) < 1.0


# --- the study ---


def test_nothing_seen_is_no_study() -> None:
    with pytest.raises(TooFewReadingsError, match="No length and no colour"):
        make_study(kit(), [], values=values(), made_on=date(2026, 11, 25), method_version="1")


def test_everything_laid_is_accounted_for_in_words() -> None:
    made = study(Off(bias=0.3, pieces=0.2, photos=0.2, rest=0.3, by_size=0.05), np.random.default_rng(1))
    tally = made.tally
    assert tally.laid == tally.met + tally.not_met
    words = "\n".join(study_lines(made))
    assert f"{tally.photos} planned" in words
    assert f"Pieces laid in the photos used: {tally.laid}" in words
    assert re.search(r"length depends on the known value: by \+[45]\.\d%", words)
    assert "1.96" in words
    assert all(light in words for light in LIGHTS)
