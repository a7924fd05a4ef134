"""Which way round a chart lies, and whether it is one at all: told by its colours, since its outline can't say."""

import numpy as np

from grader.arrays import FloatArray, PixelArray
from grader.card.sampling import sample_points
from grader.card.squares import trimmed_mean
from grader.chart.model import COLUMNS, ROWS, FoundBy, FoundChart
from grader.chart.reading import READ_SIDE, chart_points
from grader.colour import D65, ciede2000, plain_matrix, xyz_to_lab

_LOOK_PER_SIDE = 8
_UPRIGHT = np.eye(3)
_ABOUT = np.array([[-1.0, 0.0, COLUMNS], [0.0, -1.0, ROWS], [0.0, 0.0, 1.0]])
_MIRRORED = np.array([[-1.0, 0.0, COLUMNS], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
TURNS: tuple[FloatArray, ...] = (_UPRIGHT, _ABOUT, _MIRRORED, _ABOUT @ _MIRRORED)
"""The grid of six by four laid on itself: as it is, about, and both in a mirror (a phone's front camera)."""


def turned_by_colour(
    pixels: PixelArray, homography: FloatArray, reference_lab: FloatArray, *, found_by: FoundBy
) -> FoundChart:
    """The way of laying the grid in which the patches agree best with the known colours.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded.
    homography
        (3, 3) pitches to px of a grid that may lie the wrong way round.
    reference_lab
        (24, 3) CIELAB, D65.
    """
    found = [
        FoundChart(
            homography=homography @ turn, misfit_de=misfit(pixels, homography @ turn, reference_lab), found_by=found_by
        )
        for turn in TURNS
    ]
    return min(found, key=lambda one: one.misfit_de)


def misfit(pixels: PixelArray, homography: FloatArray, reference_lab: FloatArray) -> float:
    """Median CIE 2000 difference of the patches from the known colours after a plain matrix; inf off the picture."""
    light, _, inside = sample_points(pixels, chart_points(homography, READ_SIDE, _LOOK_PER_SIDE))
    if not inside.all():
        return float("inf")
    rgb = trimmed_mean(light)
    seen = xyz_to_lab(rgb @ plain_matrix(rgb, reference_lab) * D65)
    return float(np.median(ciede2000(seen, reference_lab)))
