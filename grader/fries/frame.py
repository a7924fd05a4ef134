"""Coordinates along a bent bar: mm along its centreline, mm across it."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray

_STRAIGHT = 1e-7
"""Curvature, 1 / mm, below which the formulas of the straight line are the better ones."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """The frame of one bar; of n bars where every field has a further axis (n,) before its own.

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
    start: FloatArray | float

    def of(self, bars: IntArray | int) -> "Frame":
        """Of many bars' frames that of one of them, or those of some, one by one."""
        return Frame(
            origin=self.origin.take(bars, axis=0),
            axes=self.axes.take(bars, axis=0),
            bend=self.bend.take(bars, axis=0),
            start=np.take(self.start, bars),
        )

    def along_across(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) mm along the centreline from its first end, (n,) mm across it, of points (n, 2) of the sheet."""
        return self.coordinates(xy_mm)[:2]

    def coordinates(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """As `along_across`, and the `ways` there; of n bars, each point in its own bar's frame."""
        off_x, off_y = xy_mm[..., 0] - self.origin[..., 0], xy_mm[..., 1] - self.origin[..., 1]
        (along_x, along_y), (across_x, across_y) = self.axes[..., 0, :].T, self.axes[..., 1, :].T
        x, y = along_x * off_x + along_y * off_y, across_x * off_x + across_y * off_y
        curve, slant, level = self.bend.T
        slope = 2 * curve * x + slant
        lean = np.sqrt(1 + slope * slope)
        across = (y - ((curve * x + slant) * x + level)) / lean
        foot = x + across * slope / lean
        slope = 2 * curve * foot + slant
        lean = np.sqrt(1 + slope * slope)
        ways = np.stack([(along_x + slope * across_x) / lean, (along_y + slope * across_y) / lean], axis=-1)
        return arc_length(self.bend, foot) - self.start, across, ways

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
    """(n,) length of the parabola y = bend(x) from 0 to x; (3,) its coefficients, or (n, 3) for each x."""
    curve, slope = 2 * bend[..., 0], bend[..., 1]
    straight, as_a_line = np.abs(curve) < _STRAIGHT, x * np.sqrt(1 + slope * slope)
    if np.all(straight):
        return np.asarray(as_a_line)

    def primitive(s: FloatArray) -> FloatArray:
        return np.asarray(s * np.sqrt(1 + s * s) + np.arcsinh(s))

    bent = (primitive(curve * x + slope) - primitive(slope)) / (2 * np.where(straight, 1.0, curve))
    return np.where(straight, as_a_line, bent)
