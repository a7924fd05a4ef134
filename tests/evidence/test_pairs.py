"""Turn and shoot: a slope of the light cancels, and half of the difference is the plate's own doubt."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from grader.arrays import frozen
from grader.evidence.errors import EvidenceRefused
from grader.evidence.journal import Journal
from grader.evidence.pairs import Pair, PairReading, note_pair, noted_pairs, pair_lines, pooled_u, read_pair
from grader.fries.model import Fry, Measured, Plate
from grader.grading import GradedPhoto
from tests.records import made_up


def plate_of(fries: tuple[Fry, ...], sha: str) -> GradedPhoto:
    plate = Plate(fries=fries, labels=made_up.plate().labels, heaped=False)
    return replace(made_up.graded(), plate=plate, sha256=sha * 64)


def moved(fry: Fry, *, darker: float = 0.0, longer_mm: float = 0.0, slid_px: float = 0.0) -> Fry:
    assert fry.colour is not None
    assert fry.length_mm is not None
    lab = np.array(fry.colour.lab) - (darker, 0.0, 0.0)
    return replace(
        fry,
        colour=replace(fry.colour, lab=frozen(lab)),
        length_mm=Measured(value=fry.length_mm.value + longer_mm, u=fry.length_mm.u),
        centreline_px=frozen(fry.centreline_px + slid_px),
    )


FRIES = tuple(made_up.fry(n, y=60.0 * n, length_px=200 + 10.0 * n) for n in range(1, 11))


def test_a_slope_of_the_light_cancels_in_the_mean() -> None:
    """Fries at one side read 3 L* too dark, at the other 3 too light; turned, it is the other way round."""
    slope = np.linspace(-3, 3, len(FRIES)) + 0.4
    first = plate_of(tuple(moved(f, darker=d) for f, d in zip(FRIES, slope, strict=True)), "a")
    second = plate_of(tuple(moved(f, darker=-d) for f, d in zip(FRIES, slope, strict=True)), "b")
    pair = read_pair(first, second, made_up.standard(), way="turned")
    light = next(one for one in pair.readings if one.quantity == "L")
    assert light.mean == pytest.approx(60.0)
    assert light.difference == pytest.approx(0.8)
    assert light.u == pytest.approx(0.4)


def test_fries_are_found_again_on_a_turned_mat() -> None:
    rng = np.random.default_rng(5)
    off = rng.normal(0, 0.8, len(FRIES))
    first = plate_of(FRIES, "a")
    second = plate_of(tuple(moved(f, longer_mm=d, slid_px=2.0) for f, d in zip(FRIES, off, strict=True)), "b")
    pair = read_pair(first, second, made_up.standard(), way="turned")
    assert pair.lengths is not None
    assert pair.lengths.fries == len(FRIES)
    assert pair.lengths.bias_mm == pytest.approx(off.mean())
    assert pair.lengths.sd_mm == pytest.approx(off.std(ddof=1) / 2**0.5)
    assert read_pair(first, second, made_up.standard(), way="flipped").lengths is None
    assert any("found again" in line for line in pair_lines(pair))


def test_pairs_that_are_none_are_refused() -> None:
    first = plate_of(FRIES, "a")
    with pytest.raises(EvidenceRefused, match="same photo twice"):
        read_pair(first, first, made_up.standard(), way="turned")
    with pytest.raises(EvidenceRefused, match="could not be judged"):
        read_pair(first, made_up.refused(), made_up.standard(), way="turned")
    sheet = made_up.sheet()
    other = replace(plate_of(FRIES, "b"), sheet=replace(sheet, layout=replace(sheet.layout, key="mat-254")))
    with pytest.raises(EvidenceRefused, match="different cards"):
        read_pair(first, other, made_up.standard(), way="turned")


def test_two_plates_are_no_pair_of_one() -> None:
    """By where fries lie on a turned mat; by their lengths where they were flipped."""
    first = plate_of(FRIES, "a")
    elsewhere = plate_of(tuple(moved(f, slid_px=200.0) for f in FRIES), "b")
    with pytest.raises(EvidenceRefused, match="of 10 fries lie where they lay"):
        read_pair(first, elsewhere, made_up.standard(), way="turned")
    assert read_pair(first, elsewhere, made_up.standard(), way="flipped").readings
    longer = plate_of(tuple(moved(f, longer_mm=40.0) for f in FRIES), "b")
    with pytest.raises(EvidenceRefused, match="of 10 fries have one as long"):
        read_pair(first, longer, made_up.standard(), way="flipped")
    more = (moved(made_up.fry(20 + n, y=60.0 * n), slid_px=2000.0) for n in range(11))
    with pytest.raises(EvidenceRefused, match="Only 10 of 21 fries"):
        read_pair(first, plate_of((*FRIES, *more), "b"), made_up.standard(), way="turned")


def test_a_pair_takes_no_plate_out_of_the_count(tmp_path: Path) -> None:
    """A photo that is its own second, or two that are each other's, would count nowhere."""
    journal = Journal(folder=tmp_path)

    def note(first: str, second: str) -> None:
        note_pair(journal, tag="lot", first=first * 64, second=second * 64, way="turned", by="AB")

    note("a", "b")
    note("a", "c")
    for first, second in (("d", "d"), ("b", "a"), ("b", "d"), ("d", "a")):
        with pytest.raises(EvidenceRefused, match="can't be a pair"):
            note(first, second)
    assert set(noted_pairs(journal.entries(), "lot")) == {"b" * 64, "c" * 64}


def test_the_pooled_doubt_is_the_true_one() -> None:
    """4000 drawn pairs whose photos each scatter by 0.6: the doubt of a mean of two is 0.6 by the root of two."""
    rng = np.random.default_rng(11)
    draws = rng.normal(3.0, 0.6, (4000, 2))
    pairs = [
        Pair(way="turned", readings=(PairReading(quantity="place", first=a, second=b),), lengths=None)
        for a, b in draws.tolist()
    ]
    u, freedom = pooled_u(pairs)["place"]
    assert u == pytest.approx(0.6 / 2**0.5, rel=0.03)
    assert freedom == 4000
