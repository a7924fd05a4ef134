"""Exact bars whose first end is cut back along a known line, seen by an exact camera."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import LabelArray
from grader.fries.geometry import measure_strip
from grader.fries.model import Gaps, Measured
from grader.fries.outline import trace_outlines
from grader.fries.outline_ways import outline_ways
from grader.fries.torn_ends import deepest_gap, end_gaps
from tests.card.scenes import Pinhole
from tests.fries.solids import Bar, camera_of, camera_over, label_of
from tests.fries.torn import Tear, notched, ragged, slanted, tapered, torn_label

ABOVE = camera_over()
TILTED = camera_over(tilt_deg=10, towards_deg=70, turned_deg=20)
NOTHING_MM = 0.75
"""99 in 100 cut ends of rendered plates read less."""
READ_MM = 0.45
"""Three pixels: a notch's corners are rounded by the outline's smoothing."""


def gaps_of(labels: LabelArray, seen_by: Pinhole, *, faint_share: float = 0.0) -> Gaps:
    """Of the bar with number 1, the end on the left of the photo first."""
    outline = trace_outlines(labels, reach_px=4)[1]
    camera = camera_of(seen_by)
    strip = measure_strip(outline, camera, ground_mm=0.0, ground_u_mm=0.2, width_mm=9.5)
    gaps = end_gaps(outline, outline_ways(outline, strip, camera), strip, faint_share=faint_share)
    return gaps if strip.centreline_px[0, 0] < strip.centreline_px[-1, 0] else (gaps[1], gaps[0])


def read(tear: Tear, *, seen_by: Pinhole = ABOVE, bar: Bar | None = None) -> float:
    """The gap read at the torn end; the other end must be sound."""
    torn, sound = gaps_of(torn_label(bar or Bar(), tear, seen_by), seen_by)
    assert torn is not None
    assert sound is not None
    assert sound.value < NOTHING_MM
    return torn.value


@pytest.mark.parametrize("seen_by", [ABOVE, TILTED], ids=["above", "tilted"])
@pytest.mark.parametrize("power", [7.0, np.inf], ids=["rounded", "sharp"])
@pytest.mark.parametrize("sag", [0.0, 6.0])
def test_a_cut_end_leaves_no_gap(seen_by: Pinhole, power: float, sag: float) -> None:
    for gap in gaps_of(label_of([Bar(power=power, sag_mm=sag, heading_deg=12)], seen_by), seen_by):
        assert gap is not None
        assert gap.value < NOTHING_MM


@pytest.mark.parametrize("tear", [slanted(9.5, 15), slanted(9.5, 40), tapered(9.5, 0.35), tapered(9.5, 0.8)])
def test_nor_does_one_that_is_slanted_or_tapered(tear: Tear) -> None:
    assert tear.gap_mm < 0.01
    assert read(tear) < NOTHING_MM
    assert read(tear, seen_by=TILTED) < NOTHING_MM


@pytest.mark.parametrize("depth", [1.5, 2.5, 4.0])
def test_a_notch_is_read_as_deep_as_it_is(depth: float) -> None:
    assert notched(9.5, depth).gap_mm == pytest.approx(depth)
    assert read(notched(9.5, depth)) == pytest.approx(depth, abs=READ_MM)


@pytest.mark.parametrize("number", range(8))
def test_a_ragged_end_is_read_within_twice_its_doubt(number: int) -> None:
    rng = np.random.default_rng(number)
    tear = ragged(rng, 9.5, float(rng.uniform(1.0, 4.0)))
    bar = Bar(heading_deg=float(rng.uniform(-60, 60)))
    torn, _ = gaps_of(torn_label(bar, tear, TILTED), TILTED)
    assert torn is not None
    assert torn.value == pytest.approx(tear.gap_mm, abs=2 * torn.u)


def test_deeper_reads_deeper() -> None:
    tear = ragged(np.random.default_rng(3), 9.5, 1.0)
    depths = [read(tear.scaled_to(gap)) for gap in (1.0, 1.5, 2.0, 3.0)]
    assert depths == sorted(depths)


def test_an_end_that_meets_another_fry_is_not_told_and_one_beside_a_fry_is() -> None:
    bar = Bar()
    blocking = Bar(middle=(bar.middle[0] - bar.length / 2 - 5.2, bar.middle[1]), heading_deg=90, length=40.0)
    met, other = gaps_of(label_of([bar, blocking], ABOVE), ABOVE)
    assert met is None
    assert other is not None
    beside = replace(bar, middle=(bar.middle[0], bar.middle[1] + 9.9))
    first, last = gaps_of(label_of([bar, beside], ABOVE), ABOVE)
    assert first is not None
    assert last is not None


def test_faint_edges_make_it_doubtful() -> None:
    labels = label_of([Bar()], ABOVE)
    (sharp, _), (faint, _) = gaps_of(labels, ABOVE), gaps_of(labels, ABOVE, faint_share=0.5)
    assert sharp is not None
    assert faint is not None
    assert faint.u > 5 * sharp.u
    assert faint.value == sharp.value


def test_the_deepest_gap_needs_both_ends() -> None:
    shallow, deep = Measured(value=0.2, u=0.3), Measured(value=2.0, u=0.4)
    assert deepest_gap((shallow, deep)) == deep
    assert deepest_gap((deep, shallow)) == deep
    assert deepest_gap((None, shallow)) is None
    assert deepest_gap(None) is None
