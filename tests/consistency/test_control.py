"""Control photographs of the card alone: what changed is found, what didn't isn't, causes are told where they can."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from grader.arrays import frozen
from grader.consistency.control.causes import Other, State, control_lines, state_of, suspects
from grader.consistency.control.reading import ControlReading
from grader.consistency.control.series import ControlWatch, Watched, watch_control
from tests.card_values.test_drift import faded
from tests.consistency.control_photos import CARD, PATCHES, in_a_row, made_up, pixels, read


def watched(*newest: ControlReading, start: int = 1, first: int = 10) -> ControlWatch:
    rng = np.random.default_rng(start)
    return watch_control(in_a_row([*(made_up(rng) for _ in range(first)), *newest]), first=first)


def test_a_row_that_does_not_change_is_seldom_said_to() -> None:
    rng = np.random.default_rng(11)
    states = []
    for _ in range(400):
        watch = watch_control(in_a_row([made_up(rng) for _ in range(11)]))
        states.append(state_of(watch))
    alarms = sum(state is not State.AS_USUAL for state in states) / len(states)
    print(f"alarms where nothing changed: {alarms:.2%} of photos")
    # Four rows and the patches, each outside as rarely as one side, or both, of three standard deviations: 0.7 %.
    assert alarms <= 0.02


def test_few_photos_set_no_limits_yet() -> None:
    rng = np.random.default_rng(1)
    watch = watch_control(in_a_row([made_up(rng) for _ in range(7)]))
    assert watch.rows == {}
    assert state_of(watch) is State.LEARNING
    assert "3 more to take" in next(control_lines(watch, []))
    with pytest.raises(ValueError, match="at least 5"):
        watch_control(watch.taken, first=4)


def test_limits_are_frozen() -> None:
    rng = np.random.default_rng(2)
    readings = [made_up(rng) for _ in range(10)]
    before = watch_control(in_a_row([*readings, made_up(rng)])).rows[Watched.LEFT].high
    later = [made_up(rng, left=float(step)) for step in range(20)]
    assert watch_control(in_a_row([*readings, *later])).rows[Watched.LEFT].high == before


def test_one_soiled_patch_is_named() -> None:
    soiled = np.zeros((PATCHES, 3))
    soiled[7] = 1.0
    watch = watched(made_up(np.random.default_rng(3), left=-8 * soiled, seen=-0.25 * soiled))
    assert watch.patches == (8,)
    assert state_of(watch) is State.LEFT
    assert any("Patches that look different: 8." in line for line in control_lines(watch, []))


def test_a_phone_that_changes_its_tone_is_fitted_anew() -> None:
    watch = watched(made_up(np.random.default_rng(4), seen=np.linspace(-0.3, 0, PATCHES)[:, None], tint=0.15))
    assert state_of(watch) is State.REFITTED
    assert watch.is_out(Watched.SEEN)
    assert watch.is_out(Watched.RED)
    assert not watch.is_out(Watched.LEFT)


def test_a_patch_that_could_not_be_read_is_left_out() -> None:
    rng = np.random.default_rng(5)
    odd = made_up(rng)
    usable = odd.usable.copy()
    usable[3] = False
    spoilt = odd.left.copy()
    spoilt[3] = 50.0
    watch = watched(replace(odd, usable=frozen(usable), left=frozen(spoilt)))
    assert state_of(watch) is State.AS_USUAL


@pytest.mark.parametrize(
    ("others", "why"),
    [
        ([], ("the phone", "the print", "the light")),
        ([Other(same_card=True, same_phone=False, same_light=True, state=State.AS_USUAL)], ("the phone",)),
        ([Other(same_card=True, same_phone=False, same_light=True, state=State.LEFT)], ("the print", "the light")),
        ([Other(same_card=False, same_phone=True, same_light=True, state=State.AS_USUAL)], ("the print",)),
        (
            [
                Other(same_card=True, same_phone=False, same_light=True, state=State.LEFT),
                Other(same_card=False, same_phone=True, same_light=True, state=State.LEFT),
            ],
            ("the light",),
        ),
        (
            [Other(same_card=True, same_phone=False, same_light=True, state=State.LEARNING)],
            ("the phone", "the print", "the light"),
        ),
    ],
)
def test_other_cards_and_phones_tell_why(others: list[Other], why: tuple[str, ...]) -> None:
    assert suspects(State.LEFT, others) == why
    assert suspects(State.AS_USUAL, others) == ()


@cache
def first_photos() -> tuple[ControlReading, ...]:
    return tuple(read(pixels(CARD, number=number)) for number in range(1, 7))


def rendered(newest: ControlReading) -> ControlWatch:
    return watch_control(in_a_row([*first_photos(), newest]), first=6)


def test_a_rendered_card_as_it_was() -> None:
    assert state_of(rendered(read(pixels(CARD, number=20)))) is State.AS_USUAL


def test_a_rendered_card_in_warmer_light() -> None:
    watch = rendered(read(pixels(CARD, number=21, gain=(1.0, 0.9, 0.7))))
    assert watch.is_out(Watched.BLUE)
    assert watch.rows[Watched.BLUE].values[-1] == pytest.approx(100 * np.log(0.7 / 0.9), abs=2)
    assert state_of(watch) is State.REFITTED


def test_a_rendered_card_by_a_phone_with_more_contrast() -> None:
    watch = rendered(read(pixels(CARD, number=22, gamma=1.25)))
    assert watch.is_out(Watched.SEEN)
    assert state_of(watch) is State.REFITTED


def test_a_rendered_card_whose_yellow_faded() -> None:
    # The fit spreads what the yellow ink lost over all patches, so as corrected they need not tell; the camera does.
    watch = rendered(read(pixels(faded(CARD, 0.2), number=23)))
    assert watch.is_out(Watched.SEEN)
    assert any("A print that faded is not taken out" in line for line in control_lines(watch, []))
    assert watch.patches
    yellow = {patch.number for patch in CARD.patches if patch.lab[2] > 15}
    print(f"patches told: {watch.patches}; yellow ones: {sorted(yellow)}")
    assert set(watch.patches) <= yellow
    assert len(watch.patches) >= 5
