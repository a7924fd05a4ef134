"""A chart over time as SVG: batches in their order, limits, events, signals. Legible without colour.

Several quantities stand beneath one another over the same batches. A signal is told by the shape around its point and
by a letter, an event by a broken line across all panels and by a number; what both mean stands beneath.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import pairwise
from textwrap import wrap

import numpy as np

from grader.arrays import FloatArray
from grader.language import tr

WIDE_PX, NARROW_PX = 760, 340
"""For a page or a print, and for a phone: letters keep their size."""
_LEFT, _RIGHT = 62, 14
_PLOT, _HEAD, _GAP = 150, 34, 18
_LINE = 20
_INK, _PALE = "#141414", "#e4e9ee"
_TARGET, _TARGET_DASH = "#7a3b00", "14 4 2 4"
_HALO = 'stroke="#ffffff" stroke-width="3" paint-order="stroke"'
"""White around letters, where lines run behind them."""
_LETTER_PX = 6.6
"""How wide a letter of the text beneath is at most, in the mean."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panel:
    """One quantity over the batches.

    Attributes
    ----------
    title
        What it is, with its unit.
    value, centre, low, high
        (n,) of each batch; NaN where there is none. A batch with a value and no limits is one that a level is still
        being learned from.
    plain
        Limits (n,), (n,) to show for comparison only; None where there are none.
    letters
        By batch, from 0: the letters of its signals.
    percent
        Values are shares, to be told in per cent.
    target
        From what until what the house wants it to be; None where it wants nothing of it.
    """

    title: str
    value: FloatArray
    centre: FloatArray
    low: FloatArray
    high: FloatArray
    plain: tuple[FloatArray, FloatArray] | None = None
    letters: Mapping[int, str] = field(default_factory=dict)
    percent: bool = False
    target: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """Something that happened before a batch (from 0; as many as there are batches: after all of them)."""

    before: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlChart:
    """Panels over the same batches: `labels` says when each batch was, `legend` what the letters mean."""

    title: str
    labels: tuple[str, ...]
    panels: tuple[Panel, ...]
    flags: tuple[Flag, ...] = ()
    legend: Mapping[str, str] = field(default_factory=dict)


def control_chart_svg(chart: ControlChart, *, width_px: int = WIDE_PX) -> str:
    """The chart as an SVG of that width; its height follows.

    Raises
    ------
    ValueError
        No batch or no panel, or a panel with another number of values than there are batches.
    """
    n = len(chart.labels)
    if not n or not chart.panels:
        raise ValueError("a chart needs a batch and a panel")
    if any(len(values) != n for one in chart.panels for values in (one.value, one.centre, one.low, one.high)):
        raise ValueError("each panel needs a value, a centre and limits for each batch")
    head = wrap(chart.title, int((width_px - 24) / (_LETTER_PX * 1.5)))
    top = 14 + 24 * len(head) + 24
    across = _Across(batches=n, left=_LEFT, right=width_px - _RIGHT)
    bottom = top + len(chart.panels) * (_HEAD + _PLOT + _GAP) - _GAP
    beneath = list(_beneath(chart, width_px, bottom + 54))
    height = bottom + 60 + _LINE * sum(1 for part in beneath if part.startswith("<text"))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_px} {height}" width="{width_px}" role="img">',
        f"<title>{escape(chart.title)}</title>",
        f"<desc>{escape(spoken(chart))}</desc>",
        f'<rect width="{width_px}" height="{height}" fill="#ffffff"/>',
        *(_text(12, 30 + 24 * row, line, size=18, weight="bold") for row, line in enumerate(head)),
        *(part for row in range(len(chart.panels)) for part in _ground(chart, row, across, _panel_top(top, row))),
        *(part for number, flag in enumerate(chart.flags, 1) for part in _flag(flag, number, across, (top, bottom))),
        *(part for row in range(len(chart.panels)) for part in _points(chart, row, across, _panel_top(top, row))),
        *_when(chart.labels, across, bottom),
        *beneath,
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def spoken(chart: ControlChart) -> str:
    """The same in words, for those who hear the picture."""
    first, last = chart.labels[0], chart.labels[-1]
    lines = [tr("{n} batches, {first} to {last}.", n=len(chart.labels), first=first, last=last)]
    for one in chart.panels:
        at = ", ".join(f"{chart.labels[at]} {letters}" for at, letters in sorted(one.letters.items()))
        lines.append(
            tr("{title}: signals at {times}.", title=one.title, times=at)
            if at
            else tr("{title}: no signal.", title=one.title)
        )
        lines += _target_words(one)
    lines += [f"{letter}: {words}." for letter, words in chart.legend.items()]
    lines += [f"{number}: {_flag_words(flag, chart.labels)}." for number, flag in enumerate(chart.flags, 1)]
    return " ".join(lines)


def _panel_top(top: float, row: int) -> float:
    return top + row * (_HEAD + _PLOT + _GAP) + _HEAD


@dataclass(frozen=True, slots=True, kw_only=True)
class _Across:
    """From batches to pixels."""

    batches: int
    left: float
    right: float

    @property
    def step(self) -> float:
        return (self.right - self.left) / self.batches

    def x(self, at: float) -> float:
        """The middle of a batch's column."""
        return self.left + (at + 0.5) * self.step


@dataclass(frozen=True, slots=True, kw_only=True)
class _Up:
    """From values to pixels."""

    low: float
    high: float
    top: float

    def y(self, value: float) -> float:
        return self.top + (self.high - value) / (self.high - self.low) * _PLOT


def _ground(chart: ControlChart, row: int, across: _Across, top: float) -> Iterator[str]:
    """What lies beneath events and points: lines of the scale, the band of the limits."""
    panel = chart.panels[row]
    up = _span(panel, top)
    yield from _grid(up, across, percent=panel.percent)
    for start, stop in _runs(~np.isnan(panel.low) | ~np.isnan(panel.high)):
        yield from _limits(panel, across, up, (start, stop))
    for wanted in panel.target or ():
        line = f"M{across.left} {up.y(wanted):.1f} L{across.right} {up.y(wanted):.1f}"
        yield f'<path d="{line}" stroke="{_TARGET}" stroke-width="2" stroke-dasharray="{_TARGET_DASH}"/>'
    for edge in panel.plain or ():
        for run in _runs(~np.isnan(edge)):
            yield _stairs(edge, across, up, run, dashes="2 4")


def _points(chart: ControlChart, row: int, across: _Across, top: float) -> Iterator[str]:
    """The title and the points, joined from event to event."""
    panel = chart.panels[row]
    up = _span(panel, top)
    yield _text(12, top - 12, panel.title, weight="bold")
    known = ~np.isnan(panel.value)
    begun = sorted({0, *(flag.before for flag in chart.flags), len(known)})
    for first, last in pairwise(begun):
        for start, stop in _runs(known[first:last]):
            joined = range(first + start, first + stop)
            path = " L".join(f"{across.x(at):.1f} {up.y(panel.value[at]):.1f}" for at in joined)
            yield f'<path d="M{path}" fill="none" stroke="{_INK}" stroke-width="1"/>'
    for at in np.flatnonzero(known).tolist():
        yield from _point(panel, at, (across.x(at), up.y(panel.value[at])), across.step)


def _span(panel: Panel, top: float) -> _Up:
    """The values and limits, with room above for letters."""
    shown = np.concatenate(
        [panel.value, panel.centre, panel.low, panel.high, *(panel.plain or ()), np.array(panel.target or ())]
    )
    shown = shown[np.isfinite(shown)]
    low, high = (float(shown.min()), float(shown.max())) if len(shown) else (0.0, 1.0)
    room = 0.16 * (high - low) or 0.5
    return _Up(low=max(low - room, 0.0) if low >= 0 and panel.percent else low - room, high=high + room, top=top)


def _grid(up: _Up, across: _Across, *, percent: bool) -> Iterator[str]:
    for value in _ticks(up.low, up.high):
        y = up.y(value)
        yield f'<path d="M{across.left} {y:.1f} L{across.right} {y:.1f}" stroke="#d4d4d4" stroke-width="1"/>'
        words = f"{100 * value:.3g} %" if percent else f"{value:.4g}"
        yield _text(across.left - 8, y + 5, words, anchor="end", size=13)


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers, three to six of them."""
    rough = (high - low) / 4
    power = 10.0 ** np.floor(np.log10(rough))
    step = power * min((1, 2, 5, 10), key=lambda factor: abs(np.log(factor * power / rough)))
    first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
    return [float(n * step) for n in range(first, last + 1)]


def _limits(panel: Panel, across: _Across, up: _Up, run: tuple[int, int]) -> Iterator[str]:
    """The band between the limits, both limits as solid stairs, the centre as a broken one."""
    low = np.where(np.isnan(panel.low), up.low, panel.low)
    high = np.where(np.isnan(panel.high), up.high, panel.high)
    there, back = _corners(high, across, up, run), _corners(low, across, up, run)[::-1]
    yield f'<path d="M{" L".join(there + back)} Z" fill="{_PALE}"/>'
    for edge in (panel.low, panel.high):
        for start, stop in _runs(~np.isnan(edge[run[0] : run[1]])):
            yield _stairs(edge, across, up, (run[0] + start, run[0] + stop), dashes="")
    for start, stop in _runs(~np.isnan(panel.centre[run[0] : run[1]])):
        yield _stairs(panel.centre, across, up, (run[0] + start, run[0] + stop), dashes="9 5")


def _corners(edge: FloatArray, across: _Across, up: _Up, run: tuple[int, int]) -> list[str]:
    half = 0.5
    return [f"{across.x(at + side):.1f} {up.y(float(edge[at])):.1f}" for at in range(*run) for side in (-half, half)]


def _stairs(edge: FloatArray, across: _Across, up: _Up, run: tuple[int, int], *, dashes: str) -> str:
    path = " L".join(_corners(edge, across, up, run))
    return f'<path d="M{path}" fill="none" stroke="{_INK}" stroke-width="1.5" stroke-dasharray="{dashes}"/>'


def _point(panel: Panel, at: int, place: tuple[float, float], room_px: float) -> Iterator[str]:
    """A dot; hollow while a level is being learned; a signal's in a diamond, above it what its neighbour hasn't got."""
    x, y = place
    radius = min(max(room_px / 3, 1.8), 4.5)
    learned = not (np.isnan(panel.low[at]) and np.isnan(panel.high[at]))
    fill = _INK if learned else "#ffffff"
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}" stroke="{_INK}" stroke-width="1.5"/>'
    if letters := panel.letters.get(at):
        yield _diamond(x, y, 2 * radius)
        if new := "".join(letter for letter in letters if letter not in panel.letters.get(at - 1, "")):
            yield _text(x, y - 14, new, anchor="middle", size=14, weight="bold")


def _diamond(x: float, y: float, reach: float) -> str:
    corners = f"M{x:.1f} {y - reach:.1f} L{x + reach:.1f} {y:.1f} L{x:.1f} {y + reach:.1f} L{x - reach:.1f} {y:.1f} Z"
    return f'<path d="{corners}" fill="none" stroke="#9e1b24" stroke-width="2.5"/>'


def _flag(flag: Flag, number: int, across: _Across, span: tuple[float, float]) -> Iterator[str]:
    top, bottom = span
    x = across.x(flag.before - 0.5)
    yield f'<path d="M{x:.1f} {top} L{x:.1f} {bottom}" stroke="#5a4a00" stroke-width="1.5" stroke-dasharray="5 3"/>'
    yield f'<rect x="{x - 10:.1f}" y="{top - 20}" width="20" height="20" rx="3" fill="#fff3c4" stroke="#5a4a00"/>'
    yield _text(x, top - 5, str(number), anchor="middle", size=13, weight="bold")


def _when(labels: Sequence[str], across: _Across, bottom: float) -> Iterator[str]:
    """As many of the batches' times as fit."""
    room = max(len(label) for label in labels) * 7.4 + 14
    every = max(int(np.ceil(room / across.step)), 1)
    for at in range(0, len(labels), every):
        x, half = across.x(at), len(labels[at]) * 3.7
        yield f'<path d="M{x:.1f} {bottom} L{x:.1f} {bottom + 5}" stroke="{_INK}" stroke-width="1"/>'
        if at == 0 and x - half < 4:
            yield _text(4, bottom + 22, labels[at], size=13)
        elif x + half < across.right + _RIGHT - 2:
            yield _text(x, bottom + 22, labels[at], anchor="middle", size=13)


def _beneath(chart: ControlChart, width_px: int, top: float) -> Iterator[str]:
    """What band, lines, letters and numbers mean, each wrapped to the width."""
    room = int((width_px - 24) / _LETTER_PX)
    learned = any((~np.isnan(one.value) & np.isnan(one.low) & np.isnan(one.high)).any() for one in chart.panels)
    lines = [tr("Grey band: where batches belong, between their limits. Broken line: the level.")]
    lines += [words for one in chart.panels for words in _target_words(one)]
    if any(one.plain is not None for one in chart.panels):
        lines.append(
            tr("Dotted: plain limits that take each fry for an independent one; too tight, for comparison only.")
        )
    if learned:
        lines.append(tr("Hollow dot: the level is still being learned, so there are no limits."))
    lines += [tr("Diamond {letter}: {words}", letter=letter, words=words) for letter, words in chart.legend.items()]
    lines += [f"{number}: {_flag_words(flag, chart.labels)}" for number, flag in enumerate(chart.flags, 1)]
    row = 0
    for line in lines:
        for part in wrap(line, room):
            yield _text(12, top + _LINE * row, part, size=13)
            row += 1


def _flag_words(flag: Flag, labels: Sequence[str]) -> str:
    if flag.before < len(labels):
        return tr("{event}, before {when}", event=flag.words, when=labels[flag.before])
    return tr("{event}, after all of these batches", event=flag.words)


def _target_words(panel: Panel) -> list[str]:
    if panel.target is None:
        return []
    low, high = panel.target
    return [tr("Dash and dot: the house's target, {low} to {high}.", low=f"{low:g}", high=f"{high:g}")]


def _runs(known: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]") -> list[tuple[int, int]]:
    """Stretches (start, stop) where `known` (n,) is True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(int)))
    return [(int(start), int(stop)) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _text(x: float, y: float, words: str, *, size: int = 15, weight: str = "normal", anchor: str = "start") -> str:
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    look = f'font-size="{size}" font-weight="{weight}" font-family="sans-serif" fill="{_INK}" {_HALO}'
    return f"<text {place} {look}>{escape(words)}</text>"
