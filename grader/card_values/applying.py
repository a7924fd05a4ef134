"""A sheet with the colours that its print was measured to have, in place of those that it was designed with."""

from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout
from grader.card_values.model import CardValues


def apply_values(layout: Layout, values: CardValues) -> Layout:
    """The same layout, its patches, paper and field in the measured colours.

    Raises
    ------
    ValueError
        The values are those of another layout.
    """
    if values.layout != layout.key or len(values.patch_lab) != len(layout.patches):
        raise ValueError(
            f"values of {values.layout} with {len(values.patch_lab)} patches don't fit {layout.key}"
            f" with {len(layout.patches)}"
        )
    if (values.field_lab is None) != (layout.field_lab is None):
        raise ValueError(f"{layout.key} and its values must both have a field, or neither")
    return replace(
        layout,
        patches=tuple(
            replace(patch, lab=_triple(lab)) for patch, lab in zip(layout.patches, values.patch_lab, strict=True)
        ),
        base_lab=_triple(values.base_lab),
        field_lab=None if values.field_lab is None else _triple(values.field_lab),
    )


def patch_lab_u(layout: Layout, values: CardValues | None) -> FloatArray:
    """(n, 3) standard uncertainty of a sheet's patch colours, CIELAB; zeros where the print was not measured.

    Zeros, because nothing is known: a home printer is commonly off by 3 to 6 CIE 2000 units (common practice, no
    source), and colours from such a card show trends only, which each result says instead.
    """
    if values is None:
        return frozen(np.zeros((len(layout.patches), 3)))
    return values.patch_lab_u


def _triple(lab: FloatArray) -> tuple[float, float, float]:
    L, a, b = lab.tolist()
    return L, a, b
