"""Why a fry is marked, in words with its own numbers: what the letters on the plate's picture stand for on this one."""

from collections.abc import Callable
from dataclasses import dataclass

from grader.decision import length_as_meant
from grader.drawing.marks import NOTHING_BAD, Mark, marks_of, torn_ends
from grader.fries.model import FLAG_WORDS, Fry, Measured
from grader.standard import place_on_scale
from grader.standard.model import ColourScale, Standard


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """A letter as it stands on the picture ("?" for what is doubtful, none for what isn't), and what it says here."""

    letter: str
    words: str


def why_marked(fry: Fry, standard: Standard) -> tuple[Why, ...]:
    """What is pointed out on a fry, then what is doubtful or special about it; none for a fry that is neither."""
    pointed_out = [Why(letter=mark.letter, words=_words(mark, fry, standard)) for mark in marks_of(fry, standard)]
    doubts = [
        Why(letter="" if flag in NOTHING_BAD else "?", words=words)
        for flag, words in FLAG_WORDS.items()
        if fry.flags & flag
    ]
    return (*pointed_out, *doubts)


def _words(mark: Mark, fry: Fry, standard: Standard) -> str:
    return f"{mark.words} ({_NUMBERS[mark](fry, standard)})"


def _length(fry: Fry, standard: Standard) -> str:
    return f"{_mm(length_as_meant(fry, standard))} long"


def _short(fry: Fry, standard: Standard) -> str:
    return f"{_length(fry, standard)}, short is below {standard.defects.short_below_mm:g} mm"


def _scrap(fry: Fry, standard: Standard) -> str:
    return f"{_length(fry, standard)}, a scrap is below {standard.defects.scrap_below_mm:g} mm"


def _sliver(fry: Fry, standard: Standard) -> str:
    return f"{_mm(fry.width_mm)} wide, a sliver is below {standard.defects.sliver_below_width_mm:g} mm"


def _width(fry: Fry, standard: Standard) -> str:
    cut = standard.cut
    return f"{_mm(fry.width_mm)} wide, the cut is {cut.width_mm:g} mm and may be off by {cut.tolerance_mm:g} mm"


def _dark_end(fry: Fry, _standard: Standard) -> str:
    return f"it reaches {_mm(fry.dark_end_mm)} from the tip and is {fry.dark_end_dl:.0f} L* darker than the middle"


def _spot(fry: Fry, standard: Standard) -> str:
    sizes = ", ".join(f"{size:.1f}" for size in sorted(fry.spots_mm, reverse=True))
    return f"{sizes} mm across; one counts from {standard.defects.spot_from_mm:g} mm"


def _curved(fry: Fry, standard: Standard) -> str:
    return f"{_bow(fry)}, too much from {_percent(standard.defects.curved_from_bow_share)} on"


def _torn(fry: Fry, standard: Standard) -> str:
    told = " and ".join(_gap(fry, end) for end in torn_ends(fry, standard))
    return f"a ruler laid against {told}; a torn end leaves one from {standard.defects.torn_end_from_mm:g} mm on"


def _colour(fry: Fry, standard: Standard) -> str:
    scale = standard.scale
    return f"{_place(fry, scale)}, the target is {scale.target_from:g} to {scale.target_to:g}"


_NUMBERS: dict[Mark, Callable[[Fry, Standard], str]] = {
    Mark.SHORT: _short,
    Mark.SCRAP: _scrap,
    Mark.SLIVER: _sliver,
    Mark.WIDTH: _width,
    Mark.DARK_END: _dark_end,
    Mark.SPOT: _spot,
    Mark.CURVED: _curved,
    Mark.TORN_END: _torn,
    Mark.COLOUR: _colour,
}
"""A fry's own numbers beside those of the standard, mark by mark."""


def _place(fry: Fry, scale: ColourScale) -> str:
    found = None if fry.colour is None else place_on_scale(scale, fry.colour.lab, fry.colour.u)
    if found is None or found.off_scale_de > scale.off_scale_de:
        return "like no step of the scale"
    return f"{float(found.place):.1f} ± {float(found.place_u):.1f} on the scale"


def _bow(fry: Fry) -> str:
    if fry.bow_share is None or fry.bow_mm is None:
        return ""
    share = f"{_percent(fry.bow_share.value)} ± {_percent(fry.bow_share.u)}"
    return f"its middle lies {fry.bow_mm:.1f} mm beside the straight line between its ends, {share} of that line"


def _gap(fry: Fry, end: int) -> str:
    gap = None if fry.end_gaps_mm is None else fry.end_gaps_mm[end]
    return f"its {end_words(fry, end)} end would leave a gap of {_mm(gap)}"


def end_words(fry: Fry, end: int) -> str:
    """Which end of a fry it is, as the photo shows it: 0 for the first, -1 for the last."""
    x, y = fry.centreline_px[end] - fry.centreline_px[-1 if end == 0 else 0]
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return "lower" if y > 0 else "upper"


def _percent(share: float | None) -> str:
    return "" if share is None else f"{100 * share:.0f} %"


def _mm(measured: Measured | None) -> str:
    return "" if measured is None else f"{measured.value:.1f} ± {measured.u:.1f} mm"
