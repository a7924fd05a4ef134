"""A kit of exact solids beside a card, through the whole pipeline: what a study finds of the method itself."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from grader.grading import METHOD_VERSION, grade_photo
from grader.standard import load_shipped
from grader.trueness.comparing import SeenPhoto, compare_photo, make_study
from grader.trueness.model import Kit, PlannedPhoto
from grader.trueness.words import study_lines
from tests.trueness.made_up import kit, values
from tests.trueness.solid import solid_photo

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


def _seen(planned: Kit, photo: PlannedPhoto, data: bytes, *, told_mm: float) -> SeenPhoto:
    """One photo compared; `told_mm` is how high the grader is told that the pieces lie."""
    standard = replace(STANDARD, surface="matt", plate_height_above_card_mm=told_mm)
    graded = grade_photo(data, name=photo.file, standard=standard)
    assert graded.plate is not None, graded.reasons
    assert graded.sheet is not None
    return compare_photo(photo, planned.pieces, graded.plate, graded.sheet, height_mm=told_mm, sha256=graded.sha256)


def _mean_off(seen: SeenPhoto) -> float:
    return float(np.mean([one.difference for one in seen.compared if one.quantity == "length_mm"]))


def test_raised_bars_read_true_where_the_grader_is_told_and_long_where_it_is_not() -> None:
    planned = kit(bars=20, chips=12, lights=("lamp",))
    raised = next(photo for photo in planned.photos if photo.raised_mm)
    data = solid_photo(planned, raised, np.random.default_rng(1), size=(1500, 1125))
    told, untold = (_seen(planned, raised, data, told_mm=height) for height in (raised.raised_mm, 0.0))
    assert told.met >= 14
    assert abs(_mean_off(told)) < 0.8
    # 12 mm nearer to a camera some 445 mm away makes bars of 60 mm seem 1.6 mm longer.
    assert _mean_off(untold) - _mean_off(told) == pytest.approx(60 * 12 / 445, abs=0.5)


@pytest.mark.slow
def test_the_whole_study_finds_lengths_and_matt_chips_true() -> None:
    planned = kit(bars=20, chips=12, lights=("lamp",))
    rng = np.random.default_rng(1)
    photos = [(photo, solid_photo(planned, photo, rng, size=(2400, 1800))) for photo in planned.photos]
    seen = [_seen(planned, photo, data, told_mm=photo.raised_mm) for photo, data in photos]
    made = make_study(planned, seen, values=values(), made_on=date(2026, 11, 25), method_version=METHOD_VERSION)
    print("\n".join(study_lines(made)))
    length, width = made.agreement("length_mm"), made.agreement("width_mm")
    assert length is not None
    assert width is not None
    assert made.tally.met > 0.85 * made.tally.laid
    assert abs(length.bias.value) < 0.5
    assert abs(width.bias.value) < 0.4
    assert length.within_u > 0.9
    for channel in ("L", "a", "b"):
        colour = made.agreement(channel)
        assert colour is not None
        assert abs(colour.bias.value) < 1.0
