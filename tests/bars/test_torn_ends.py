"""Torn ends: how often a sound end is called torn, how many torn ones are found, how well gaps are read.

No photograph of truly torn fries with known truth lies here: ends are torn in pictures of rendered fries, so this says
what an outline can show, not how fries break.
"""

from pathlib import Path

import numpy as np
import pytest

from grader.grading import grade_photo
from grader.standard import load_shipped
from tests.bars.torn import TornEnd, sound_gaps, tear_and_grade

pytestmark = [pytest.mark.bar, pytest.mark.slow]

TORN_FROM_MM = 1.5
PHOTOS = ("b1/b1-plate1.jpg", "b2/b2-plate1.jpg", "b3/b3-plate1.jpg", "b3/b3-plate3.jpg")
FALSE_AT_MOST, FOUND_AT_LEAST, HELD_AT_LEAST = 0.01, 0.85, 0.85
SURE_FROM_MM = 2.5
"""From this true gap on, an end must be found to be torn."""


@pytest.fixture(scope="module")
def gaps(samples: Path) -> tuple[list[float], list[TornEnd]]:
    """Of ends that nobody tore, and of those torn here."""
    rng, standard = np.random.default_rng(11), load_shipped()["strips-9.5mm-skin-on"]
    sound: list[float] = []
    torn: list[TornEnd] = []
    for name in PHOTOS:
        graded = grade_photo((samples / name).read_bytes(), name=name, standard=standard)
        sound += sound_gaps(graded)
        torn += tear_and_grade(samples / name, graded, standard, rng)
    return sound, torn


def test_few_sound_ends_are_called_torn(gaps: tuple[list[float], list[TornEnd]]) -> None:
    sound = np.array(gaps[0])
    share = float(np.mean(sound >= TORN_FROM_MM))
    print(
        f"of {len(sound)} sound ends {share:.1%} read {TORN_FROM_MM:g} mm or more; 99 in 100 below "
        f"{np.quantile(sound, 0.99):.2f} mm"
    )
    assert share <= FALSE_AT_MOST


def test_most_torn_ends_are_found(gaps: tuple[list[float], list[TornEnd]]) -> None:
    deep = [end for end in gaps[1] if end.gap_mm >= SURE_FROM_MM]
    found = [end for end in deep if end.read is not None and end.read.value >= TORN_FROM_MM]
    print(f"of {len(deep)} ends with a gap of {SURE_FROM_MM:g} mm or more {len(found) / len(deep):.0%} are called torn")
    assert len(found) >= FOUND_AT_LEAST * len(deep)


def test_gaps_are_read_within_twice_their_doubt(gaps: tuple[list[float], list[TornEnd]]) -> None:
    read = [(end.read.value - end.gap_mm, end.read.u) for end in gaps[1] if end.read is not None]
    off, u = np.array(read).T
    held = float(np.mean(np.abs(off) <= 2 * u))
    print(
        f"of {len(off)} gaps read, off by {np.median(off):+.2f} mm in the middle, {held:.0%} within twice their doubt"
    )
    assert held >= HELD_AT_LEAST
