"""All fries side by side, straightened and sorted, with the limits drawn; and how lengths and colours spread."""

from collections.abc import Sequence
from io import BytesIO

import numpy as np
from PIL import Image

from grader.arrays import ByteArray
from grader.evidence.dossier.paper import GREY, MARGIN_MM, RED, WIDTH_MM, Paper
from grader.evidence.fry_strips import ACROSS_PX, PX_PER_MM, FryStrip
from grader.evidence.model import Case
from grader.standard.model import Standard

_SHRINK = 5.0
"""The sorted strip is drawn at a fifth of true size."""
_EACH_MM = ACROSS_PX / PX_PER_MM / _SHRINK
_LABELS_MM, _LABEL_MM = 30.0, 2.3
"""Room beside a row for what its lines are, and between two labels."""
_A_ROW = int((WIDTH_MM - _LABELS_MM) / _EACH_MM)
_COLOUR_MM = 40.0
"""Of each fry's length so much is shown where they are sorted by colour."""
_BARS = 24
_CHART_MM = (WIDTH_MM, 38.0)


def all_strips(case: Case) -> list[FryStrip]:
    """Of all plates."""
    return [strip for plate in case.plates for strip in plate.looked.strips]


def draw_strips(paper: Paper, case: Case) -> None:
    """Sorted by length, then by colour."""
    strips, standard = all_strips(case), case.standard
    if not strips:
        return
    by_length = sorted((s for s in strips if s.length_mm is not None), key=lambda s: -(s.length_mm or 0.0))
    paper.heading("Every fry, sorted by length", room_mm=60)
    limits = length_limits(standard)
    paper.paragraph(
        f"{len(by_length)} fries of {len(case.plates)} plates that have a length ({_meant(standard)}), straightened, "
        f"at a fifth of true size, the longest first. The standard's limits: {', '.join(words for _, words in limits)}."
    )
    for start in range(0, len(by_length), _A_ROW):
        _length_row(paper, by_length[start : start + _A_ROW], limits)
    by_colour = sorted((s for s in strips if s.place is not None), key=lambda s: s.place or 0.0)
    if by_colour:
        _draw_colours(paper, by_colour, standard)


def _draw_colours(paper: Paper, strips: Sequence[FryStrip], standard: Standard) -> None:
    scale = standard.scale
    paper.heading("Every fry, sorted by colour", room_mm=40)
    paper.paragraph(
        f"{len(strips)} fries that have a colour and a length, {_COLOUR_MM:g} mm of each, the palest first. Lines: "
        f"where the target begins ({scale.target_from:g}) and ends ({scale.target_to:g} steps of the house scale). "
        "As the photo shows them, not corrected: what is judged are corrected colours."
    )
    for start in range(0, len(strips), _A_ROW):
        _colour_row(paper, strips[start : start + _A_ROW], standard)


def _meant(standard: Standard) -> str:
    return "along the bend" if standard.length_is == "centreline" else "straight from end to end"


def length_limits(standard: Standard) -> list[tuple[float, str]]:
    """The lengths that the standard names, mm, each with its words."""
    told = [(share.length_mm, f"{share.length_mm:g} mm") for share in standard.limits.length_shares]
    told.append((standard.defects.short_below_mm, f"short piece below {standard.defects.short_below_mm:g} mm"))
    return sorted(dict(told).items())


def _length_row(paper: Paper, strips: Sequence[FryStrip], limits: Sequence[tuple[float, str]]) -> None:
    tallest = max(len(strip.pixels) for strip in strips)
    row = np.full((tallest, ACROSS_PX * len(strips), 3), 255, np.uint8)
    for k, strip in enumerate(strips):
        row[tallest - len(strip.pixels) :, k * ACROSS_PX : (k + 1) * ACROSS_PX] = strip.pixels
    height_mm, base = _put(paper, row)
    with paper.ink(RED, 0.3):
        paper.set_font("words", size=5.5)
        label = base + _LABEL_MM
        for length, words in limits:
            y = base - length / _SHRINK
            if length / _SHRINK <= height_mm + 2:
                wide = MARGIN_MM + len(strips) * _EACH_MM
                paper.line(MARGIN_MM, y, wide + 1, y)
                label = min(y + 0.7, label - _LABEL_MM)
                paper.text(wide + 1.5, label, words)


def _colour_row(paper: Paper, strips: Sequence[FryStrip], standard: Standard) -> None:
    rows = round(_COLOUR_MM * PX_PER_MM)
    row = np.full((rows, ACROSS_PX * len(strips), 3), 255, np.uint8)
    for k, strip in enumerate(strips):
        middle = max((len(strip.pixels) - rows) // 2, 0)
        part = strip.pixels[middle : middle + rows]
        row[rows - len(part) :, k * ACROSS_PX : (k + 1) * ACROSS_PX] = part
    height_mm, base = _put(paper, row)
    places = [strip.place or 0.0 for strip in strips]
    with paper.ink(RED, 0.4):
        paper.set_font("words", size=5.5)
        for at, words in ((standard.scale.target_from, "target begins"), (standard.scale.target_to, "target ends")):
            before = sum(1 for place in places if place < at)
            if 0 < before < len(places):
                x = MARGIN_MM + before * _EACH_MM
                paper.line(x, base - height_mm - 1.5, x, base)
                paper.text(x + 0.4, base - height_mm - 0.4, words)


def _put(paper: Paper, row: ByteArray) -> tuple[float, float]:
    """Draw a row of strips; its height and the place of its base, mm."""
    height_mm = row.shape[0] / PX_PER_MM / _SHRINK
    paper.keep_together(height_mm + 6)
    file = BytesIO()
    Image.fromarray(row).save(file, "JPEG", quality=80)
    file.seek(0)
    top = paper.get_y() + 3
    paper.image(file, x=MARGIN_MM, y=top, w=row.shape[1] / PX_PER_MM / _SHRINK, h=height_mm)
    paper.set_y(top + height_mm + 2)
    return height_mm, top + height_mm


def draw_histograms(paper: Paper, case: Case) -> None:
    """Of lengths and of places on the colour scale."""
    strips, standard = all_strips(case), case.standard
    lengths = [strip.length_mm for strip in strips if strip.length_mm is not None]
    places = [strip.place for strip in strips if strip.place is not None]
    if lengths:
        paper.heading("How lengths spread", room_mm=70)
        paper.paragraph(f"{len(lengths)} fries; length in mm, {_meant(standard)}; lines are the standard's limits.")
        _histogram(paper, lengths, length_limits(standard), "mm")
    if places:
        scale = standard.scale
        paper.heading("How colours spread", room_mm=70)
        paper.paragraph(f"{len(places)} fries; place on the standard's colour scale, steps; lines bound the target.")
        ends = [(scale.target_from, f"from {scale.target_from:g}"), (scale.target_to, f"to {scale.target_to:g}")]
        _histogram(paper, places, ends, "steps")


def _histogram(paper: Paper, values: Sequence[float], limits: Sequence[tuple[float, str]], unit: str) -> None:
    marks = [at for at, _ in limits]
    low, high = min([*values, *marks]), max([*values, *marks])
    room = 0.03 * (high - low) or 1.0
    low, high = low - room, high + room
    counts, edges = np.histogram(values, bins=_BARS, range=(low, high))
    wide, tall = _CHART_MM
    top, left = paper.get_y() + 5, MARGIN_MM
    per = wide / (high - low)
    paper.set_fill_color(190, 160, 95)
    for count, from_, to in zip(counts.tolist(), edges, edges[1:], strict=False):
        height = tall * count / max(counts.max(), 1)
        paper.rect(left + (from_ - low) * per, top + tall - height, (to - from_) * per - 0.3, height, style="F")
    with paper.ink(GREY):
        paper.set_font("words", size=6.5)
        paper.line(left, top + tall, left + wide, top + tall)
        for at in np.linspace(low, high, 9):
            words = f"{at:.0f} {unit}" if unit == "mm" else f"{at:.1f} {unit}"
            paper.text(min(left + (at - low) * per, left + wide - 11), top + tall + 3, words)
        paper.text(left, top - 1, f"tallest bar: {int(counts.max())} fries")
    with paper.ink(RED, 0.5):
        paper.set_font("words", size=6.5)
        for k, (at, words) in enumerate(limits):
            x = left + (at - low) * per
            paper.line(x, top - 2, x, top + tall)
            paper.text(min(x + 0.6, left + wide - 28), top - 2 + 2.6 * (k % 4), words)
    paper.set_y(top + tall + 5)
