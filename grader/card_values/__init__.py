"""The values that a printed card has got by being measured: kept per print run, looked up by serial, aged, compared."""

from grader.card_values.applying import apply_values, patch_lab_u
from grader.card_values.model import AsRead, CardValues, Method, designed_values

__all__ = [
    "AsRead",
    "CardValues",
    "Method",
    "apply_values",
    "designed_values",
    "patch_lab_u",
]
