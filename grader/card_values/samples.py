"""What was read of a sheet, laid beside what is known of it: what a correction is fitted to."""

import numpy as np

from grader.card.model import Layout, SheetReadings
from grader.card_values.applying import patch_lab_u
from grader.card_values.model import CardValues
from grader.colour import SheetSamples


def sheet_samples(layout: Layout, readings: SheetReadings, values: CardValues | None) -> SheetSamples:
    """The samples of a sheet.

    Parameters
    ----------
    layout
        In the colours that the sheet is known to have (`apply_values`).
    readings
        As `read_patches` gives them for that layout.
    values
        Where the colours come from; None for a sheet as designed.
    """
    return SheetSamples(
        patch_xy_mm=layout.patch_middles_mm,
        patch_rgb=readings.patch_rgb,
        patch_rgb_u=readings.patch_rgb_u,
        patch_lab=np.array([patch.lab for patch in layout.patches]),
        patch_lab_u=patch_lab_u(layout, values),
        patch_usable=readings.patch_usable,
        ground_xy_mm=readings.ground_xy_mm,
        ground_rgb=readings.ground_rgb,
        ground_lab=readings.ground_lab,
    )
