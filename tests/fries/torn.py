"""Ends torn by hand: a fry's outline cut back along a ragged line whose gap is known by geometry alone."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from grader.arrays import FloatArray, LabelArray
from tests.card.scenes import Pinhole
from tests.fries.solids import Bar, label_of, on_plane

_POINTS = 400
CUT_MM = 4.0
"""So far behind the bar's own tip the tear begins: its rounded end is gone."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Tear:
    """`depth_mm` (n,) that an end is cut back at `across_mm` (n,) from one side of the fry to the other."""

    across_mm: FloatArray
    depth_mm: FloatArray

    @property
    def gap_mm(self) -> float:
        """How deep a gap a ruler laid against it leaves: searched by brute force over all pairs of points it may touch.

        A ruler that touches both corners bridges all between them; it lies on two points with nothing beyond it.
        """
        points = np.column_stack([self.across_mm, -self.depth_mm])[:: _POINTS // 80]
        first, last = np.triu_indices(len(points), k=1)
        way = points[last] - points[first]
        normal = np.column_stack([-way[:, 1], way[:, 0]]) / np.hypot(*way.T)[:, None]
        above = np.einsum("nkc,nc->nk", points[None] - points[first][:, None], normal)
        rests = above.max(axis=1) < 1e-9
        between = (np.arange(len(points)) >= first[:, None]) & (np.arange(len(points)) <= last[:, None])
        return float(np.max(np.where(between & rests[:, None], -above, 0)))

    def scaled_to(self, gap_mm: float) -> "Tear":
        """The same shape with another gap; a slant of the whole makes it no exact multiple."""
        tear = self
        for _ in range(6):
            tear = Tear(across_mm=tear.across_mm, depth_mm=tear.depth_mm * (gap_mm / tear.gap_mm))
        return tear


def ragged(rng: np.random.Generator, width_mm: float, gap_mm: float) -> Tear:
    """Notches and tongues 2 to 3.5 mm wide, slanted by chance, with a little roughness over all of it."""
    across = np.linspace(-width_mm / 2, width_mm / 2, _POINTS)
    while True:
        corners = np.linspace(-width_mm / 2, width_mm / 2, int(np.ceil(width_mm / rng.uniform(1.8, 3.5))) + 1)
        depth = np.interp(across, corners, rng.uniform(0, 1, len(corners))) + rng.uniform(-1, 1) * across / width_mm
        rough = gaussian_filter1d(rng.normal(0, 1, _POINTS), 12)
        tear = Tear(across_mm=across, depth_mm=gaussian_filter1d(depth, 8, mode="nearest"))
        if tear.gap_mm > 0.15:
            scaled = tear.scaled_to(gap_mm)
            scaled = Tear(across_mm=across, depth_mm=scaled.depth_mm + 0.08 * rough / rough.std())
            if np.ptp(scaled.depth_mm) < width_mm and abs(scaled.gap_mm - gap_mm) < 0.3:
                return Tear(across_mm=across, depth_mm=scaled.depth_mm - scaled.depth_mm.min())


def slanted(width_mm: float, degrees: float) -> Tear:
    """Cut straight, but not square."""
    across = np.linspace(-width_mm / 2, width_mm / 2, _POINTS)
    return Tear(across_mm=across, depth_mm=(across + width_mm / 2) * np.tan(np.radians(degrees)))


def notched(width_mm: float, depth_mm: float) -> Tear:
    """A square end with one notch in its middle third: its gap is its depth."""
    across = np.linspace(-width_mm / 2, width_mm / 2, _POINTS)
    return Tear(across_mm=across, depth_mm=np.where(np.abs(across) < width_mm / 6, depth_mm, 0.0))


def tapered(width_mm: float, share: float) -> Tear:
    """Narrowing evenly from both sides to a tip that is `share` of the width less wide."""
    across = np.linspace(-width_mm / 2, width_mm / 2, _POINTS)
    face = width_mm / 2 * (1 - share)
    return Tear(across_mm=across, depth_mm=np.maximum(np.abs(across) - face, 0) * 3.0)


def torn_label(bar: Bar, tear: Tear, seen_by: Pinhole) -> LabelArray:
    """The bar's silhouette without what lies beyond the tear, as seen at half its height."""
    labels = label_of([bar], seen_by)
    rows, columns = np.nonzero(labels)
    xy = on_plane(seen_by, np.column_stack([columns, rows]).astype(float), bar.ground_mm + bar.thickness / 2)
    off = xy - np.array(bar.middle)
    along, across = off @ bar.axis + bar.length / 2, off @ np.array([-bar.axis[1], bar.axis[0]])
    beyond = along < CUT_MM + np.interp(across, tear.across_mm, tear.depth_mm)
    labels[rows[beyond], columns[beyond]] = 0
    return labels
