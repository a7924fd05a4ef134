"""A sheet in the colours that its print was measured to have."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from grader.card.model import Layout
from grader.card_values import CardValues, apply_values, designed_values, patch_lab_u


def test_colours_are_the_measured_ones_and_all_else_stays(card: Layout, measured: CardValues) -> None:
    applied = apply_values(card, measured)
    np.testing.assert_array_equal([patch.lab for patch in applied.patches], measured.patch_lab)
    assert applied.base_lab == tuple(measured.base_lab)
    assert replace(applied, base_lab=card.base_lab, patches=card.patches) == card
    assert [(patch.number, patch.area) for patch in applied.patches] == [(p.number, p.area) for p in card.patches]


def test_a_mats_field_too(mat: Layout, measured_mat: CardValues) -> None:
    assert apply_values(mat, measured_mat).field_lab == (57.0, 0.5, -0.5)


def test_designed_values_change_nothing(mat: Layout) -> None:
    day = date(2026, 11, 20)
    assert apply_values(mat, designed_values(mat, run="K7Q2X", printed_on=day, expires_on=day, by="AB")) == mat


def test_values_of_another_sheet_are_no_values(card: Layout, mat: Layout, measured: CardValues) -> None:
    with pytest.raises(ValueError, match="don't fit mat-a4"):
        apply_values(mat, measured)
    with pytest.raises(ValueError, match="23 patches"):
        apply_values(card, replace(measured, patch_lab=measured.patch_lab[:23]))
    with pytest.raises(ValueError, match="both have a field"):
        apply_values(card, replace(measured, field_lab=measured.base_lab))


def test_doubt_of_the_colours(card: Layout, measured: CardValues) -> None:
    np.testing.assert_array_equal(patch_lab_u(card, measured), measured.patch_lab_u)
    np.testing.assert_array_equal(patch_lab_u(card, None), np.zeros((24, 3)))
