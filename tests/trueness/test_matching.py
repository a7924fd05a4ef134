"""Which found piece is which: by place and order alone."""

import numpy as np
import pytest

from grader.trueness.matching import Matched, PlacesUnclearError, match_places
from grader.trueness.model import Laid, PlannedPhoto
from tests.trueness.made_up import kit

PITCH_MM, APART_MM = np.array((90.0, 85.0)), 18.0


def laid_out(
    laid: tuple[Laid, ...], rng: np.random.Generator, *, across: bool, jitter_mm: float = 3.0
) -> tuple[list[str], np.ndarray]:
    """Where pieces lie that a person laid as the worksheet says, in no particular order."""
    names, middles = [], []
    for there in laid:
        row, column = divmod(there.place - 1, 3)
        centre = np.array((column, row)) * PITCH_MM
        for order, name in enumerate(there.pieces):
            along = (order - (len(there.pieces) - 1) / 2) * APART_MM
            names.append(name)
            middles.append(centre + ((0, along) if across else (along, 0)) + rng.normal(0, jitter_mm, 2))
    mixed = rng.permutation(len(names))
    return [names[k] for k in mixed], np.array(middles)[mixed]


def _photo(number: int = 0) -> PlannedPhoto:
    return kit(bars=24).photos[number]


def _pairs(matched: Matched, names: list[str]) -> dict[str, str]:
    return {met.piece: names[met.found] for met in matched.met}


@pytest.mark.parametrize("across", [False, True])
@pytest.mark.parametrize("number", range(6))
def test_everything_that_was_laid_is_met(number: int, across: bool) -> None:
    photo = _photo(number)
    names, middles = laid_out(photo.laid, np.random.default_rng(number), across=across)
    matched = match_places(middles, photo.laid)
    assert _pairs(matched, names) == {name: name for name in names}
    assert (matched.not_met, matched.strangers) == ((), 0)
    assert {met.piece: met.place for met in matched.met} == {
        name: there.place for there in photo.laid for name in there.pieces
    }


def test_of_a_place_that_lacks_a_piece_nobody_knows_which_is_which() -> None:
    photo = _photo()
    names, middles = laid_out(photo.laid, np.random.default_rng(1), across=False)
    lost = names.index(photo.laid[4].pieces[0])
    matched = match_places(np.delete(middles, lost, axis=0), photo.laid)
    kept = [name for k, name in enumerate(names) if k != lost]
    assert set(matched.not_met) == set(photo.laid[4].pieces)
    assert _pairs(matched, kept) == {name: name for name in names if name not in photo.laid[4].pieces}
    assert matched.strangers == 0


def test_a_stranger_makes_its_place_unclear_and_is_counted() -> None:
    photo = _photo()
    names, middles = laid_out(photo.laid, np.random.default_rng(1), across=False)
    near = middles[names.index(photo.laid[8].pieces[0])] + (0, 6)
    matched = match_places(np.vstack([middles, near]), photo.laid)
    assert set(matched.not_met) == set(photo.laid[8].pieces)
    assert matched.strangers == 1


def test_where_nothing_was_laid_what_is_found_is_a_stranger() -> None:
    laid = tuple(there for there in _photo().laid if there.place != 5)
    names, middles = laid_out(laid, np.random.default_rng(2), across=False)
    matched = match_places(np.vstack([middles, PITCH_MM]), laid)
    assert len(matched.met) == len(names)
    assert matched.strangers == 1


@pytest.mark.parametrize("number", range(20))
def test_pieces_all_over_the_plate_are_not_guessed_at(number: int) -> None:
    with pytest.raises(PlacesUnclearError) as refusal:
        match_places(np.random.default_rng(number).uniform(0, 250, (24, 2)), _photo().laid)
    assert "again" in refusal.value.hint


def test_places_too_near_each_other_are_told_as_such() -> None:
    columns = np.array([(x, y) for y in (0, 90, 180) for x in np.arange(8) * 20.0])
    with pytest.raises(PlacesUnclearError, match="columns") as refusal:
        match_places(columns, _photo().laid)
    assert "twice as much room" in refusal.value.hint


def test_an_empty_plate_has_nothing_to_match() -> None:
    photo = _photo()
    matched = match_places(np.zeros((0, 2)), photo.laid)
    assert (matched.met, len(matched.not_met), matched.strangers) == ((), 24, 0)
