"""Coordinates along a bent bar: mm along its centreline, mm across it."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray

_STRAIGHT = 1e-7
"""Curvature, 1 / mm, below which the formulas of the straight line are the better ones."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """The frame of one bar.

    Attributes
    ----------
    origin, axes
        (2,) a point of the sheet, mm, and (2, 2) unit vectors as rows: along and across.
    bend
        (3,) the centreline as a parabola over the first axis, highest power first.
    start
        Arc length, mm from the origin, of the first end.
    """

    origin: FloatArray
    axes: FloatArray
    bend: FloatArray
    start: float

    def along_across(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) mm along the centreline from its first end, (n,) mm across it, of points (n, 2) of the sheet."""
        x, y = self.axes @ (xy_mm - self.origin).T
        slope = np.polyval(np.polyder(self.bend), x)
        across = (y - np.polyval(self.bend, x)) / np.sqrt(1 + slope**2)
        return arc_length(self.bend, x + across * slope / np.sqrt(1 + slope**2)) - self.start, across

    def place(self, along: FloatArray, across: FloatArray) -> FloatArray:
        """(..., 2) points of the sheet, mm: `along_across` backwards, of numbers that broadcast against each other."""
        reach = float(np.abs(along).max() + abs(self.start)) + 5
        fine = np.linspace(-reach, reach, 1000)
        foot = np.interp(along + self.start, arc_length(self.bend, fine), fine)
        slope = np.polyval(np.polyder(self.bend), foot)
        lean = np.sqrt(1 + slope**2)
        x, y = foot - across * (slope / lean), np.polyval(self.bend, foot) + across / lean
        planes = [x * way[0] + y * way[1] + zero for way, zero in zip(self.axes.T, self.origin, strict=True)]
        return np.stack(planes, axis=-1)

    def ways(self, along: FloatArray) -> FloatArray:
        """(n, 2) unit vectors along the centreline, at mm from its first end."""
        reach = float(np.abs(along).max() + abs(self.start)) + 5
        fine = np.linspace(-reach, reach, 1000)
        slope = np.polyval(np.polyder(self.bend), np.interp(along + self.start, arc_length(self.bend, fine), fine))
        lean = np.sqrt(1 + slope**2)
        return np.asarray(np.column_stack([1 / lean, slope / lean]) @ self.axes)


def arc_length(bend: FloatArray, x: FloatArray) -> FloatArray:
    """(n,) length of the parabola y = bend(x) from 0 to x."""
    curve, slope = 2 * bend[0], bend[1]
    if abs(curve) < _STRAIGHT:
        return np.asarray(x * np.sqrt(1 + slope**2))

    def primitive(s: FloatArray | float) -> FloatArray:
        return np.asarray((s * np.sqrt(1 + np.square(s)) + np.arcsinh(s)) / (2 * curve))

    return primitive(curve * x + slope) - primitive(slope)
