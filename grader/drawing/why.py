"""Why a fry is marked, in words with its own numbers: what the letters on the plate's picture stand for on this one."""

from dataclasses import dataclass

from grader.decision import length_as_meant
from grader.drawing.marks import NOTHING_BAD, Mark, marks_of
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
    return f"{mark.words} ({_numbers(mark, fry, standard)})"


def _numbers(mark: Mark, fry: Fry, standard: Standard) -> str:
    cut, defects, scale = standard.cut, standard.defects, standard.scale
    match mark:
        case Mark.SHORT:
            return f"{_mm(length_as_meant(fry, standard))} long, short is below {defects.short_below_mm:g} mm"
        case Mark.SLIVER:
            return f"{_mm(fry.width_mm)} wide, a sliver is below {defects.sliver_below_width_mm:g} mm"
        case Mark.WIDTH:
            return f"{_mm(fry.width_mm)} wide, the cut is {cut.width_mm:g} mm and may be off by {cut.tolerance_mm:g} mm"
        case Mark.DARK_END:
            return (
                f"it reaches {_mm(fry.dark_end_mm)} from the tip and is {fry.dark_end_dl:.0f} L* darker than the middle"
            )
        case Mark.SPOT:
            sizes = ", ".join(f"{size:.1f}" for size in sorted(fry.spots_mm, reverse=True))
            return f"{sizes} mm across; one counts from {defects.spot_from_mm:g} mm"
        case Mark.COLOUR:
            return f"{_place(fry, scale)}, the target is {scale.target_from:g} to {scale.target_to:g}"


def _place(fry: Fry, scale: ColourScale) -> str:
    found = None if fry.colour is None else place_on_scale(scale, fry.colour.lab, fry.colour.u)
    if found is None or found.off_scale_de > scale.off_scale_de:
        return "like no step of the scale"
    return f"{float(found.place):.1f} ± {float(found.place_u):.1f} on the scale"


def _mm(measured: Measured | None) -> str:
    return "" if measured is None else f"{measured.value:.1f} ± {measured.u:.1f} mm"
