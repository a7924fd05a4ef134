"""A card in use beside its twin from the dark, photographed together: what faded is told, light and phone are not."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray
from grader.card import find_sheets
from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values.drift import CardDrift, compare_cards
from grader.colour import ciede2000
from grader.photo import linear_to_srgb, srgb_to_linear
from tests.card.scenes import PX_PER_MM, Pinhole, layout_of, photograph, picture_of

GAP_MM = 25
TABLE_RGB = (96, 96, 96)
SIZE_PX = (1800, 825)


def faded(layout: Layout, share: float) -> Layout:
    """Yellow inks have lost a share of their yellow, and are a little lighter for it."""
    patches = []
    for patch in layout.patches:
        L, a, b = patch.lab
        lost = max(b, 0.0) * share
        patches.append(replace(patch, lab=(min(L + 0.15 * lost, 95.0), a, b - lost)))
    return replace(layout, patches=tuple(patches))


def both(
    working: Layout, kept: Layout, *, tilt_deg: float = 3.0, light: float = 0.0, grain_number: int = 7
) -> ByteArray:
    """The two side by side, the working one left; `light` is by how much the light falls off from left to right."""
    left, right = picture_of(working), picture_of(kept)
    gap = np.broadcast_to(np.array(TABLE_RGB, np.uint8), (left.shape[0], GAP_MM * PX_PER_MM, 3))
    board = replace(kept, width_mm=2 * kept.width_mm + GAP_MM)
    camera = Pinhole.over(board, tilt_deg=tilt_deg, towards_deg=30, size=SIZE_PX)
    taken = photograph(np.hstack([left, gap, right]), camera, grain_number=grain_number)
    slope = np.linspace(1 + light / 2, 1 - light / 2, taken.shape[1])[None, :, None] / (1 + light / 2)
    return np.rint(linear_to_srgb(srgb_to_linear(taken / 255) * slope) * 255).astype(np.uint8)


def compared(pixels: ByteArray) -> CardDrift:
    sheets = sorted(find_sheets(pixels, load_layouts(), focal_35mm=26.0), key=lambda one: one.corners_px[:, 0].mean())
    assert len(sheets) == 2
    return compare_cards(pixels, *sheets)


CARD = layout_of("card-a6")


def true_dlab(share: float) -> FloatArray:
    return lab_of(faded(CARD, share)) - lab_of(CARD)


def lab_of(layout: Layout) -> FloatArray:
    return np.array([patch.lab for patch in layout.patches])


@cache
def of_a_faded_card() -> CardDrift:
    return compared(both(faded(CARD, 0.2), CARD, light=0.25))


def test_two_cards_alike_show_no_drift_in_uneven_light() -> None:
    drift = compared(both(CARD, CARD, light=0.25, tilt_deg=6))
    assert drift.usable.sum() >= 22
    assert drift.mean_de < 0.5
    assert drift.mean_de < 3 * drift.mean_de_u
    assert np.abs(drift.paper_dab).max() < 0.5


def test_a_faded_card_differs_by_as_much_as_it_faded() -> None:
    drift = of_a_faded_card()
    off = (drift.dlab - true_dlab(0.2))[drift.usable]
    print(f"rms of dlab off the truth: {np.sqrt((off**2).mean(axis=0))}, stated {np.median(drift.dlab_u, axis=0)}")
    assert np.sqrt((off**2).mean(axis=0)).max() < 0.6
    de = ciede2000(lab_of(faded(CARD, 0.2)), lab_of(CARD))
    assert drift.de[drift.usable] == pytest.approx(de[drift.usable], abs=0.8)
    assert drift.mean_de > 5 * drift.mean_de_u
    assert drift.numbers[int(np.argmax(np.where(drift.usable, drift.de, -1)))] in {9, 10, 11, 16, 17, 22}


def test_the_kept_ones_colours_are_those_of_both() -> None:
    """Of two cards of a measured run one serial may be unreadable: then only the other has the measured colours."""
    pixels = both(faded(CARD, 0.2), CARD, light=0.25)
    sheets = sorted(find_sheets(pixels, load_layouts(), focal_35mm=26.0), key=lambda one: one.corners_px[:, 0].mean())
    L, a, b = CARD.base_lab
    measured = replace(CARD, base_lab=(L - 0.4, a + 0.2, b - 0.3))
    for working, kept in ((measured, CARD), (CARD, measured)):
        layouts = (working, kept)
        drift = compare_cards(pixels, *(replace(sheet, layout=own) for sheet, own in zip(sheets, layouts, strict=True)))
        assert drift.mean_de == pytest.approx(of_a_faded_card().mean_de, abs=0.1)


def test_the_phone_and_the_light_cancel() -> None:
    """A camera of another tint and a stronger contrast tells the same difference."""
    pixels = both(faded(CARD, 0.2), CARD, light=0.25)
    tinted = srgb_to_linear(pixels / 255) * [1.0, 0.82, 0.6] * 0.95
    bent = linear_to_srgb(tinted)
    bent = 0.7 * bent + 0.3 * bent**2 * (3 - 2 * bent)
    other = compared(np.rint(bent * 255).astype(np.uint8))
    assert other.mean_de == pytest.approx(of_a_faded_card().mean_de, abs=0.5)


def test_the_stated_doubt_covers_what_is_off() -> None:
    """Alike and faded, in even and uneven light, straight and tilted: within two u nine times of ten, and near."""
    scenes = [(0.0, 0.25, 6.0), (0.0, 0.4, 10.0), (0.1, 0.25, 3.0), (0.3, 0.1, 5.0)]
    off, stated = [], []
    for number, (share, light, tilt_deg) in enumerate(scenes):
        drift = compared(both(faded(CARD, share), CARD, light=light, tilt_deg=tilt_deg, grain_number=number))
        off.append((drift.dlab - true_dlab(share))[drift.usable])
        stated.append(drift.dlab_u[drift.usable])
    ratio = np.concatenate(off) / np.concatenate(stated)
    print(f"off / stated u: rms {np.sqrt((ratio**2).mean(axis=0))}, within two {(np.abs(ratio) < 2).mean():.2f}")
    assert (np.abs(ratio) < 2).mean() > 0.9
    assert np.sqrt((ratio**2).mean()) > 0.4


def test_yellowed_paper_is_told() -> None:
    L, a, b = CARD.base_lab
    drift = compared(both(replace(CARD, base_lab=(L, a, b + 4)), CARD))
    assert drift.paper_dab == pytest.approx([0, 4], abs=0.6)


def test_cards_of_two_kinds_are_no_twins() -> None:
    pixels = both(CARD, CARD)
    first, second = find_sheets(pixels, load_layouts(), focal_35mm=26.0)
    with pytest.raises(ValueError, match="two layouts"):
        compare_cards(pixels, first, replace(second, layout=layout_of("mat-a4")))
