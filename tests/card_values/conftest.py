"""An invented print run, measured; nothing here was read by an instrument."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from grader.arrays import frozen
from grader.card.model import Layout
from grader.card_values import AsRead, CardValues
from tests.card.scenes import layout_of


@pytest.fixture(scope="session")
def card() -> Layout:
    return layout_of("card-a6")


@pytest.fixture(scope="session")
def mat() -> Layout:
    return layout_of("mat-a4")


@pytest.fixture(scope="session")
def measured(card: Layout) -> CardValues:
    """The A6 card of run K7Q2X, its inks a little off the design."""
    off = np.random.default_rng(4).normal(0, 2, (len(card.patches), 3))
    patch_lab = np.array([patch.lab for patch in card.patches]) + off
    patch_lab[:, 0] = patch_lab[:, 0].clip(0, 99)
    return CardValues(
        run="K7Q2X",
        layout=card.key,
        patch_lab=frozen(patch_lab),
        patch_lab_u=frozen(np.full_like(patch_lab, 0.7)),
        base_lab=frozen(np.array([94.1, 0.4, -2.2])),
        base_lab_u=frozen(np.full(3, 0.6)),
        field_lab=None,
        field_lab_u=None,
        method="instrument",
        measured_on=date(2026, 11, 20),
        expires_on=date(2027, 11, 20),
        measured_by="AB",
        instrument='45/0, M1, "black" backing',
        as_read=(
            AsRead(
                white="D50",
                quantity="lab",
                patch_lab=frozen(patch_lab + 0.1),
                base_lab=frozen(np.array([94.0, 0.5, -1.9])),
                field_lab=None,
                source="readings.txt",
                source_sha256="0f" * 32,
            ),
        ),
    )


@pytest.fixture(scope="session")
def measured_mat(mat: Layout, measured: CardValues) -> CardValues:
    patch_lab = np.array([patch.lab for patch in mat.patches])
    return replace(
        measured,
        layout=mat.key,
        patch_lab=frozen(patch_lab),
        patch_lab_u=frozen(np.full_like(patch_lab, 0.5)),
        field_lab=frozen(np.array([57.0, 0.5, -0.5])),
        field_lab_u=frozen(np.full(3, 0.5)),
        as_read=(),
    )
