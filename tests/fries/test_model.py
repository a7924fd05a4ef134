import numpy as np

from grader.fries import FLAG_WORDS, Colour, FryFlag


def test_every_flag_is_explained_in_words_of_its_own() -> None:
    assert set(FLAG_WORDS) == set(FryFlag)
    assert len(set(FLAG_WORDS.values())) == len(FLAG_WORDS)
    assert all(words[0].islower() and not words.endswith(".") for words in FLAG_WORDS.values())


def test_flags_add_up() -> None:
    both = FryFlag.SHINY | FryFlag.CLIPPED
    assert both & FryFlag.SHINY
    assert not both & FryFlag.ODD_SHAPE
    assert not FryFlag.NONE


def test_both_parts_of_a_colours_doubt_add_in_squares() -> None:
    colour = Colour(lab=np.zeros(3), shared=np.diag([3.0, 0.0, 1.0]), own_u=np.array([4.0, 2.0, 0.0]))
    np.testing.assert_allclose(colour.u, [5, 2, 1])
