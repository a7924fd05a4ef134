"""An operating characteristic as SVG: how often lots come out so, over how good they truly are. Legible without colour.

Lines differ by their dashes and by a sign at their points; what they mean stands beneath. SVG needs no library and
prints at any size.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from grader.arrays import FloatArray

WIDTH_PX, HEIGHT_PX = 760, 520
_LEFT, _TOP, _RIGHT, _BOTTOM = 76, 76, 736, 392
_DASHES = ("", "9 6", "2 5")
_SIGNS = ("circle", "square", "triangle")
_POINTS = 7
"""Signs along a line."""
_TEXT = 'font-family="sans-serif" fill="#141414"'


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Shares of lots (k,), 0 to 1, over qualities (k,)."""

    words: str
    quality: FloatArray
    share: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A quality that matters: a limit, what was asked for."""

    quality: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """What is drawn: its title, and what its qualities are; shares are told in per cent."""

    title: str
    quality_words: str
    percent: bool


def risk_curve_svg(lines: Sequence[Line], marks: Sequence[Mark], axes: Axes) -> str:
    """Up to three lines over one another, with marks across them.

    Raises
    ------
    ValueError
        No line, more than three, or qualities that don't spread.
    """
    if not 1 <= len(lines) <= len(_DASHES):
        raise ValueError(f"one to {len(_DASHES)} lines can be told apart, not {len(lines)}")
    low = min(float(line.quality.min()) for line in lines)
    high = max(float(line.quality.max()) for line in lines)
    if not low < high:
        raise ValueError("the qualities must spread")
    frame = _Frame(low=low, high=high)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH_PX} {HEIGHT_PX}" role="img">',
        f"<title>{escape(axes.title)}</title>",
        f"<desc>{escape(_told(lines, axes))}</desc>",
        f'<rect width="{WIDTH_PX}" height="{HEIGHT_PX}" fill="#ffffff"/>',
        _text(_LEFT, 30, axes.title, size=19, weight="bold"),
        *_grid(frame, axes),
        *(part for number, mark in enumerate(marks) for part in _mark(frame, mark, number)),
        *(part for number, line in enumerate(lines) for part in _line(frame, line, number)),
        *(part for number, line in enumerate(lines) for part in _legend(line, number)),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """From qualities and shares to pixels."""

    low: float
    high: float

    def x(self, quality: float) -> float:
        return _LEFT + (quality - self.low) / (self.high - self.low) * (_RIGHT - _LEFT)

    def y(self, share: float) -> float:
        return _BOTTOM - share * (_BOTTOM - _TOP)


def _told(lines: Sequence[Line], axes: Axes) -> str:
    """The same in words, for those who hear the picture."""
    told = []
    for line in lines:
        points = (f"{100 * share:.0f} % at {_number(quality, axes)}" for quality, share in _some(line))
        told.append(f"{line.words}: {', '.join(points)}")
    return f"Over {axes.quality_words}. " + "; ".join(told) + "."


def _some(line: Line) -> list[tuple[float, float]]:
    at = np.linspace(line.quality[0], line.quality[-1], _POINTS)
    return list(zip(at.tolist(), np.interp(at, line.quality, line.share).tolist(), strict=True))


def _number(quality: float, axes: Axes) -> str:
    return f"{100 * quality:.3g} %" if axes.percent else f"{quality:.3g}"


def _text(x: float, y: float, words: str, *, size: int = 15, weight: str = "normal", anchor: str = "start") -> str:
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    return f'<text {place} font-size="{size}" font-weight="{weight}" {_TEXT}>{escape(words)}</text>'


def _grid(frame: _Frame, axes: Axes) -> list[str]:
    parts = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = frame.y(share)
        parts += [_rule(_LEFT, y, _RIGHT, y), _text(_LEFT - 10, y + 5, f"{100 * share:.0f} %", anchor="end")]
    for quality in _ticks(frame.low, frame.high):
        x = frame.x(quality)
        parts += [_rule(x, _BOTTOM, x, _BOTTOM + 6), _text(x, _BOTTOM + 24, _number(quality, axes), anchor="middle")]
    return [*parts, _text((_LEFT + _RIGHT) / 2, _BOTTOM + 48, axes.quality_words, anchor="middle")]


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers, five to ten of them."""
    rough = (high - low) / 6
    power = 10.0 ** np.floor(np.log10(rough))
    step = power * min((1, 2, 5, 10), key=lambda factor: abs(np.log(factor * power / rough)))
    return [float(n * step) for n in range(int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9)) + 1)]


def _rule(x0: float, y0: float, x1: float, y1: float) -> str:
    return f'<path d="M{x0:.1f} {y0:.1f} L{x1:.1f} {y1:.1f}" stroke="#b4b4b4" stroke-width="1"/>'


def _mark(frame: _Frame, mark: Mark, number: int) -> list[str]:
    """A fine line across with its words above; every other one's stand lower, so that neighbours don't meet."""
    x, y = frame.x(mark.quality), _TOP - 8 - 17 * (number % 2)
    anchor = "end" if x > (_LEFT + _RIGHT) / 2 else "start"
    across = f'<path d="M{x:.1f} {y + 4:.1f} L{x:.1f} {_BOTTOM}" stroke="#141414" stroke-width="1"/>'
    return [across, _text(x, y, mark.words, size=14, anchor=anchor)]


def _line(frame: _Frame, line: Line, number: int) -> list[str]:
    path = " L".join(f"{frame.x(q):.1f} {frame.y(s):.1f}" for q, s in zip(line.quality, line.share, strict=True))
    signs = [_sign(frame.x(quality), frame.y(share), number) for quality, share in _some(line)]
    return [_stroke(f"M{path}", number), *signs]


def _legend(line: Line, number: int) -> list[str]:
    y = _BOTTOM + 74 + 22 * number
    return [
        _stroke(f"M{_LEFT} {y - 5} L{_LEFT + 60} {y - 5}", number),
        _sign(_LEFT + 30, y - 5, number),
        _text(_LEFT + 74, y, line.words),
    ]


def _stroke(path: str, number: int) -> str:
    return f'<path d="{path}" fill="none" stroke="#141414" stroke-width="2.5" stroke-dasharray="{_DASHES[number]}"/>'


def _sign(x: float, y: float, number: int) -> str:
    look = 'fill="#ffffff" stroke="#141414" stroke-width="2"'
    match _SIGNS[number]:
        case "circle":
            return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" {look}/>'
        case "square":
            return f'<rect x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10" {look}/>'
        case _:
            return f'<path d="M{x:.1f} {y - 6:.1f} L{x + 6:.1f} {y + 5:.1f} L{x - 6:.1f} {y + 5:.1f} Z" {look}/>'
