"""A card whose print nobody measured: what may be the printer's doing is told with its remedy, and refuses no photo."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import SheetSamples, lab_to_xyz
from grader.colour.gates import find_inks_apart, find_local_tone, find_spoilt_patches, grey_by_place, sheet_findings
from grader.errors import Finding
from tests.colour.gates.home_prints import printed
from tests.colour.gates.made_up import card, fitted, level, mixed

NUMBERS = tuple(range(1, 25))


def _found(samples: SheetSamples, *, measured: bool = False) -> tuple[Finding, ...]:
    return sheet_findings(samples, fitted(samples), numbers=NUMBERS, measured=measured)


def _home_printed(patch_lab: FloatArray, off: float) -> list[SheetSamples]:
    """The card as designed is what is known; the camera sees what a printer made of it."""
    rng = np.random.default_rng(4)
    return [replace(card(printed(patch_lab, off=off, rng=rng)), patch_lab=patch_lab) for _ in range(8)]


@pytest.mark.parametrize("off", [3, 5, 8])
def test_no_home_print_is_refused(patch_lab: FloatArray, off: float) -> None:
    for samples in _home_printed(patch_lab, off):
        assert not any(one.refuses for one in _found(samples))


def test_home_prints_far_off_are_told_and_a_measured_card_that_looks_so_is_refused(patch_lab: FloatArray) -> None:
    prints = _home_printed(patch_lab, 8)
    told = [_found(samples) for samples in prints]
    assert sum(map(bool, told)) >= len(prints) / 2
    for one in (finding for found in told for finding in found):
        assert "no measured colours are known of it" in one.message or "printed otherwise than designed" in one.message
        assert "card-values from-chart" in one.hint
        assert "print a new" not in one.hint
    as_measured = [_found(samples, measured=True) for samples in prints]
    assert any(found and found[0].refuses for found in as_measured)


def test_a_card_as_designed_is_told_nothing(patch_lab: FloatArray) -> None:
    assert _found(card(patch_lab)) == ()


def test_a_fit_that_no_print_explains_is_refused(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    wrong = replace(samples, patch_lab=patch_lab[np.random.default_rng(0).permutation(24)])
    assert _found(wrong)[0].refuses


def test_what_rests_on_place_refuses_whoever_printed_the_card(patch_lab: FloatArray) -> None:
    """One ink looks the same wherever it lies: shadows and second lights are no printer's doing."""
    for light, code in (
        (mixed(lambda xy: 0.5 + (xy[:, 1] - 52) / 110), "light_mixed"),
        (level(lambda xy: 1 - 0.5 / (1 + np.exp(-(xy[:, 1] - 62) / 2))), "light_uneven"),
    ):
        found = _found(card(patch_lab, light))
        assert (found[0].code, found[0].refuses) == (code, True)


@pytest.mark.parametrize(("power", "refuses"), [(0.0, False), (0.25, True)])
def test_one_grey_that_looks_different_from_place_to_place_is_no_printer_s_doing(
    patch_lab: FloatArray, power: float, refuses: bool
) -> None:
    """As a mat has them: the same greys in several places, printed darker than designed; every second patch lifted."""
    designed = patch_lab.copy()
    designed[12:] = designed[np.hypot(*designed[:, 1:].T) < 6][[1, 3, 4]].repeat(4, axis=0)
    as_printed = card(designed - [2.5, 0.0, 0.0] * (designed[:, :1] < 90))
    lift = np.where(np.arange(24) % 2, lab_to_xyz(designed)[:, 1] ** -power, 1.0)[:, None]
    samples = replace(as_printed, patch_lab=designed, patch_rgb=as_printed.patch_rgb * lift)
    assert (grey_by_place(samples, fitted(samples).correction) > 1.4) == refuses
    assert [one.code for one in _found(samples) if one.refuses] == ["tone_local"] * refuses


def test_where_no_grey_is_repeated_places_tell_nothing(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    assert grey_by_place(samples, fitted(samples).correction) == 0


def test_more_than_a_print_does_to_greys_refuses() -> None:
    told = find_local_tone(6.5, measured=False)
    assert told is not None
    assert told.refuses


def test_each_gate_of_patches_alone_only_tells(patch_lab: FloatArray) -> None:
    many = np.array([4, 2, 9, 11, 20])
    for measured in (True, False):
        for told in (
            find_local_tone(2.5, measured=measured),
            find_inks_apart(6.0, measured=measured),
            find_spoilt_patches(many, card(patch_lab), NUMBERS, measured=measured),
        ):
            assert told is not None
            assert told.refuses == measured
            assert ("card-values" in told.hint) != measured


def test_inks_that_part_hopelessly_refuse_all_the_same() -> None:
    told = find_inks_apart(6.0, hopeless=True, measured=False)
    assert told is not None
    assert told.refuses
