"""Coordinates along a bent bar: mm along its centreline, mm across it."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray, frozen

_STRAIGHT = 1e-7
"""Curvature, 1 / mm, below which the formulas of the straight line are the better ones."""
_FINE = frozen(np.linspace(-1, 1, 1000))
"""Where, as a share of a reach, a centreline's length is worked out, to find a place by its length."""


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
        foot, across = self._foot_across(xy_mm)
        return arc_length(self.bend, foot) - self.start, across

    def coordinates(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """As `along_across`, and (n, 2) unit vectors along the line there; of n bars, each point in its own frame."""
        foot, across = self._foot_across(xy_mm)
        return arc_length(self.bend, foot) - self.start, across, self._ways_at(foot)

    def place(self, along: FloatArray, across: FloatArray) -> FloatArray:
        """(..., 2) points of the sheet, mm: `along_across` backwards, of numbers that broadcast against each other."""
        foot = self._foot_at(along)
        slope = self._slope(foot)
        lean = np.sqrt(1 + slope * slope)
        x, y = foot - across * (slope / lean), self._level(foot) + across / lean
        planes = [x * way[0] + y * way[1] + zero for way, zero in zip(self.axes.T, self.origin, strict=True)]
        return np.moveaxis(np.stack(planes), 0, -1)

    def point_and_way(self, along: float) -> tuple[FloatArray, FloatArray]:
        """(2,) a point of the centreline, and the unit vector along it there."""
        foot = self._foot_at(np.array([along]))
        (x,), (y,) = foot, self._level(foot)
        return self.origin + np.array([x, y]) @ self.axes, self._ways_at(foot)[0]

    def _slope(self, x: FloatArray) -> FloatArray:
        return 2 * self.bend[..., 0] * x + self.bend[..., 1]

    def _level(self, x: FloatArray) -> FloatArray:
        return (self.bend[..., 0] * x + self.bend[..., 1]) * x + self.bend[..., 2]

    def _foot_at(self, along: FloatArray) -> FloatArray:
        """(n,) where along the first axis the centreline is so many mm long, of one bar."""
        length = along + self.start
        reach = float(np.abs(along).max() + abs(self.start)) + 5
        unused = max(
            int((1 - float(np.abs(length).max()) / reach) * len(_FINE) / 2) - 1, 0
        )  # no arc is below its chord
        fine = reach * _FINE[unused : len(_FINE) - unused]
        return np.interp(length, arc_length(self.bend, fine), fine)

    def _foot_across(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) where along the first axis the centreline is nearest to points (n, 2), and mm across it."""
        off_x, off_y = xy_mm[..., 0] - self.origin[..., 0], xy_mm[..., 1] - self.origin[..., 1]
        (along_x, along_y), (across_x, across_y) = self.axes[..., 0, :].T, self.axes[..., 1, :].T
        x, y = along_x * off_x + along_y * off_y, across_x * off_x + across_y * off_y
        slope = self._slope(x)
        lean = np.sqrt(1 + slope * slope)
        across = (y - self._level(x)) / lean
        return x + across * slope / lean, across

    def _ways_at(self, foot: FloatArray) -> FloatArray:
        """(n, 2) unit vectors along the centreline."""
        (along_x, along_y), (across_x, across_y) = self.axes[..., 0, :].T, self.axes[..., 1, :].T
        slope = self._slope(foot)
        lean = np.sqrt(1 + slope * slope)
        return np.stack([(along_x + slope * across_x) / lean, (along_y + slope * across_y) / lean]).T


def arc_length(bend: FloatArray, x: FloatArray) -> FloatArray:
    """(n,) length of the parabola y = bend(x) from 0 to x; (3,) its coefficients, or (n, 3) for each x."""
    curve, slope = 2 * bend[..., 0], bend[..., 1]
    straight = np.abs(curve) < _STRAIGHT
    if np.all(straight):
        return np.asarray(x * np.sqrt(1 + slope * slope))

    def primitive(s: FloatArray) -> FloatArray:
        return np.asarray(s * np.sqrt(1 + s * s) + np.arcsinh(s))

    bent = (primitive(curve * x + slope) - primitive(slope)) / (2 * np.where(straight, 1.0, curve))
    return np.where(straight, x * np.sqrt(1 + slope * slope), bent) if np.any(straight) else bent
