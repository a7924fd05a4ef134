"""A scale from plates: what was drawn comes back, what can't be told apart is said."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.colour.difference import ciede2000
from grader.scale_fit import PlatesInsufficientError, ScaleProposal, StepPlate, propose_scale, standard_with_scale
from grader.standard import load_shipped, place_on_scale, read_standard, write_standard
from tests.scale_fit.made_up import ANCHORS, NAMES, plate, plates

EARLIER = load_shipped()["strips-9.5mm-skin-on"]


def propose(made: list[StepPlate]) -> ScaleProposal:
    return propose_scale(made, steps=NAMES, right=["right"])


def codes(proposal: ScaleProposal) -> list[str]:
    return [one.code for one in proposal.warnings]


# --- anchors and target ---


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1))
def test_anchors_come_back_in_order(seed: int) -> None:
    scale = propose(plates(np.random.default_rng(seed))).scale
    anchors = np.array([step.lab for step in scale.steps])
    assert tuple(step.name for step in scale.steps) == NAMES
    assert np.all(np.diff(anchors[:, 0]) < 0)
    assert np.all(ciede2000(anchors, ANCHORS) < 2.5)  # 0.8 a plate and coordinate, three plates
    np.testing.assert_allclose(place_on_scale(scale, anchors, 0.0).place, [1, 2, 3])


def test_the_target_is_where_the_right_steps_are() -> None:
    names = ("raw", "pale", "gold", "amber", "burnt")
    anchors = np.array([(76.0, -2, 20), (69, 2, 28), (61, 7, 35), (53, 11, 34), (42, 13, 28)])
    made = plates(np.random.default_rng(3), names=names, anchors=anchors, each=4)
    proposal = propose_scale(made, steps=names, right=["gold", "amber"])
    scale = proposal.scale
    assert (scale.target_from, scale.target_to) == (proposal.boundaries[1], proposal.boundaries[3])
    assert scale.target_from == pytest.approx(2.5, abs=0.2)
    assert scale.target_to == pytest.approx(4.5, abs=0.2)
    for one in made:
        place = float(place_on_scale(scale, one.mean_lab, 0.0).place)
        assert (scale.target_from <= place <= scale.target_to) == (one.step in {"gold", "amber"})


def test_plates_count_and_not_fries() -> None:
    rng = np.random.default_rng(4)
    made = plates(rng, plate_sd=0.0)
    crowded = plate("crowd", "right", ANCHORS[1] + (4.0, 0.0, 0.0), rng=rng, fries=2000)
    right = propose([*made, crowded]).scale.steps[1]
    assert right.lab[0] == pytest.approx(ANCHORS[1][0] + 4.0 / 4, abs=0.5)


def test_own_fries_are_on_the_scale_and_what_is_no_fry_is_not() -> None:
    made = plates(np.random.default_rng(5))
    scale = propose(made).scale
    own = place_on_scale(scale, np.concatenate([one.lab for one in made]), 0.0).off_scale_de
    assert np.mean(own <= scale.off_scale_de) > 0.99
    parsley, steel = (45.0, -25.0, 30.0), (60.0, 0.0, -2.0)
    assert np.all(place_on_scale(scale, [parsley, steel], 0.0).off_scale_de > scale.off_scale_de)


# --- how well steps separate ---


def test_clear_steps_are_told_apart_without_a_warning() -> None:
    proposal = propose(plates(np.random.default_rng(6), each=4))
    assert proposal.warnings == ()
    np.testing.assert_array_equal(proposal.confusion.put, 4 * np.eye(3, dtype=int))
    assert proposal.confusion.right_share_at_least == pytest.approx(0.05 ** (1 / 12))  # all of n right: in closed form


def test_two_steps_nearer_than_the_methods_own_doubt_are_warned() -> None:
    """Twelve units of L* with doubt of 1 in L* are told apart, three are not: 1.5 is 1.5 standard uncertainties."""
    shared = np.array([(1.0, 0.0, 0.0)])
    for apart, warned in ((12.0, False), (3.0, True)):
        anchors = np.array([(72.0, 5.0, 30.0), (72.0 - apart, 5.0, 30.0), (45.0, 5.0, 30.0)])
        proposal = propose(plates(np.random.default_rng(7), anchors=anchors, shared=shared, plate_sd=0.0, fry_sd=0.1))
        assert ("steps_not_told_apart" in codes(proposal)) == warned
        pair = proposal.separations[0]
        assert pair.method_u == pytest.approx(1 / apart, rel=0.1)
    assert pair.wrong_by_method == pytest.approx(0.067, abs=0.02)  # normal tail beyond 1.5


def test_the_share_put_wrong_is_that_of_simulated_plates() -> None:
    """JCGM 101:2008, by random draws: readings off by what the photo shares, put to the nearer anchor."""
    rng = np.random.default_rng(8)
    shared = np.array([(2.5, 0.5, 1.0), (0.0, 1.0, 2.0)])
    anchors = np.array([(72.0, 0.0, 24.0), (67.0, 3.0, 28.0), (46.0, 13.0, 30.0)])
    proposal = propose(plates(rng, anchors=anchors, shared=shared, plate_sd=0.0))
    paler, darker = (np.array(step.lab) for step in proposal.scale.steps[:2])
    read = paler + rng.normal(size=(200_000, 2)) @ shared
    wrong = np.mean(((read - darker) ** 2).sum(-1) < ((read - paler) ** 2).sum(-1))
    assert proposal.separations[0].wrong_by_method == pytest.approx(float(wrong), rel=0.05)


def test_plates_that_scatter_over_each_other_are_warned_of() -> None:
    anchors = np.array([(72.0, 5.0, 30.0), (66.0, 5.0, 30.0), (45.0, 5.0, 30.0)])
    made = plates(np.random.default_rng(9), anchors=anchors, plate_sd=3.0, each=8, shared=np.array([(0.1, 0.0, 0.0)]))
    proposal = propose(made)
    assert "plates_overlap" in codes(proposal)
    assert proposal.separations[0].plates_sd == pytest.approx(0.5, rel=0.35)
    assert "plates_overlap" not in [one.code for one in proposal.warnings if '"too dark"' in one.message]


def test_a_plate_in_the_wrong_folder_is_named() -> None:
    rng = np.random.default_rng(10)
    made = [*plates(rng, each=5), plate("lost.jpg", "too pale", ANCHORS[2], rng=rng)]
    proposal = propose(made)
    assert proposal.confusion.wrong == (("lost.jpg", "too pale", "too dark"),)
    told = next(one for one in proposal.warnings if one.code == "plates_put_elsewhere")
    assert "lost.jpg" in told.message


def test_held_out_confusion_is_honest() -> None:
    """Names that mean nothing are met by chance, though the plates that a scale is made from fit it better."""
    rng = np.random.default_rng(11)
    held, fitted = [], []
    for _ in range(40):
        made = [
            plate(f"{step}-{turn}", step, ANCHORS[1] + rng.normal(0, 3, 3), rng=rng)
            for step in NAMES
            for turn in range(4)
        ]
        proposal = propose(made)
        held.append(proposal.confusion.right / proposal.confusion.plates)
        places = place_on_scale(proposal.scale, np.stack([one.mean_lab for one in made]), 0.0).place
        step = np.searchsorted(proposal.boundaries, places)
        fitted.append(np.mean([NAMES[put] == one.step for put, one in zip(step, made, strict=True)]))
    assert np.mean(held) < 1 / 3 + 0.05
    assert np.mean(fitted) > 1 / 3 + 0.1


# --- what a standard can't hold, and what is refused ---


def test_steps_in_the_wrong_order_or_too_near_are_for_no_standard() -> None:
    turned = propose(plates(np.random.default_rng(12), anchors=ANCHORS[[1, 0, 2]]))
    assert [one.code for one in turned.warnings if one.refuses] == ["step_not_darker"]
    near = np.array([(62.0, 7.0, 35.0), (61.0, 7.0, 35.0), (46.0, 13.0, 30.0)])
    proposal = propose(plates(np.random.default_rng(13), anchors=near, plate_sd=0.02))
    assert [one.code for one in proposal.warnings if one.refuses] == ["steps_too_near"]


def test_too_few_plates_are_refused_by_name_all_at_once() -> None:
    made = [one for one in plates(np.random.default_rng(14)) if one.name not in {"right-0", "right-1"}]
    made = [one for one in made if one.step != "too dark"]
    with pytest.raises(PlatesInsufficientError, match=r'"right" has 1, "too dark" has 0') as caught:
        propose(made)
    assert '"too pale"' not in caught.value.message


@pytest.mark.parametrize(
    ("steps", "right", "words"),
    [
        (("too pale", "too dark"), ["too pale"], "there are 2 steps|There are 2 steps"),
        (NAMES, [], "no step is called right|No step is called right"),
        (NAMES, ["golden"], '"golden" is called right and is no step'),
        (NAMES, ["too pale"], "can't be right"),
        (NAMES, ["right", "too dark"], "can't be right"),
        (NAMES, ["right", "right"], "must be neighbours"),
        (("too pale", "right", "Right"), ["right"], '"right" is the name of two steps'),
    ],
)
def test_steps_that_make_no_scale_are_refused(steps: tuple[str, ...], right: list[str], words: str) -> None:
    with pytest.raises(PlatesInsufficientError, match=words):
        propose_scale(plates(np.random.default_rng(15)), steps=steps, right=right)


def test_the_same_plates_under_two_names_are_refused() -> None:
    made = [one for one in plates(np.random.default_rng(16)) if one.step != "right"]
    again = [replace(one, name=f"{one.name}-again", step="right") for one in made if one.step == "too pale"]
    with pytest.raises(PlatesInsufficientError, match="the same colour"):
        propose(made + again)


# --- the standard ---


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1))
def test_the_standard_goes_to_toml_and_back(seed: int) -> None:
    proposal = propose(plates(np.random.default_rng(seed)))
    made = standard_with_scale(EARLIER, proposal.scale, name="House", version="2", note="From plates.")
    assert read_standard(write_standard(made), name="made") == made
    assert (made.cut, made.defects) == (EARLIER.cut, EARLIER.defects)


def test_the_spread_allowed_stays_the_same_in_colour() -> None:
    """A scale with every second step left out has steps of twice the length: half as many of them are allowed."""
    steps = EARLIER.scale.steps
    straight = tuple(replace(step, lab=(80.0 - 5 * i, 5.0, 30.0)) for i, step in enumerate(steps))
    fine = replace(EARLIER.scale, steps=straight, target_from=2.0, target_to=5.0)
    coarse = replace(fine, steps=straight[::2], target_from=1.5, target_to=3.0)
    made = standard_with_scale(replace(EARLIER, scale=fine), coarse, name="House", version="2", note="")
    earlier = EARLIER.limits.spread_steps_at_most
    assert made.limits.spread_steps_at_most == pytest.approx(earlier / 2, abs=0.006)
    assert replace(made.limits, spread_steps_at_most=earlier) == EARLIER.limits
