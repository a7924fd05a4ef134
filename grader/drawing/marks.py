"""What is worth pointing at on a fry: each mark has a letter of its own, so that nobody has to tell colours apart.

A mark says what was measured on this one fry; whether a batch meets a limit is the decision's to say, with its doubt.
"""

from enum import Enum

from grader.decision import is_crumb, length_as_meant
from grader.fries.model import Fry, FryFlag
from grader.standard import place_on_scale
from grader.standard.model import Standard


class Mark(Enum):
    """A letter and what it stands for."""

    SHORT = ("S", "short piece")
    SCRAP = ("R", "scrap, a short piece too small to serve")
    SLIVER = ("N", "narrow: a sliver")
    WIDTH = ("W", "width off the cut")
    DARK_END = ("D", "dark end")
    SPOT = ("P", "spot")
    CURVED = ("B", "bent: curved beyond use")
    TORN_END = ("T", "end looks torn")
    COLOUR = ("C", "colour outside the target")

    @property
    def letter(self) -> str:
        """What is drawn."""
        return self.value[0]

    @property
    def words(self) -> str:
        """What the legend says."""
        return self.value[1]


NOTHING_BAD = FryFlag.SPLIT_FROM_NEIGHBOUR


def doubtful(fry: Fry) -> bool:
    """Something about this fry could not be seen or trusted; a clean split from a neighbour is no such thing."""
    return bool(fry.flags & ~NOTHING_BAD)


def marks_of(fry: Fry, standard: Standard) -> tuple[Mark, ...]:
    """The marks of one fry, by its measured values against the standard's thresholds; a crumb has none."""
    if is_crumb(fry, standard):
        return ()
    return (
        *_cut_marks(fry, standard),
        *_defect_marks(fry, standard),
        *_form_marks(fry, standard),
        *_colour_marks(fry, standard),
    )


def torn_ends(fry: Fry, standard: Standard) -> tuple[int, ...]:
    """Which of a fry's ends look torn: 0 for the first, -1 for the last."""
    least = standard.defects.torn_end_from_mm
    if least is None or fry.end_gaps_mm is None:
        return ()
    gaps = zip((0, -1), fry.end_gaps_mm, strict=True)
    return tuple(end for end, gap in gaps if gap is not None and gap.value >= least)


def _cut_marks(fry: Fry, standard: Standard) -> list[Mark]:
    length = length_as_meant(fry, standard)
    found = []
    if length is not None and length.value < standard.defects.short_below_mm:
        scrap_below = standard.defects.scrap_below_mm
        found.append(Mark.SCRAP if scrap_below is not None and length.value < scrap_below else Mark.SHORT)
    if fry.width_mm is not None:
        if fry.width_mm.value < standard.defects.sliver_below_width_mm:
            found.append(Mark.SLIVER)
        elif abs(fry.width_mm.value - standard.cut.width_mm) > standard.cut.tolerance_mm:
            found.append(Mark.WIDTH)
    return found


def _defect_marks(fry: Fry, standard: Standard) -> list[Mark]:
    defects = standard.defects
    found = []
    if fry.dark_end_mm is not None and fry.dark_end_mm.value >= defects.dark_end_from_mm:
        darker = fry.dark_end_dl
        if darker is not None and darker >= defects.dark_end_from_dl:
            found.append(Mark.DARK_END)
    if max(fry.spots_mm, default=0.0) >= defects.spot_from_mm:
        found.append(Mark.SPOT)
    return found


def _form_marks(fry: Fry, standard: Standard) -> list[Mark]:
    curved_from = standard.defects.curved_from_bow_share
    found = []
    if curved_from is not None and fry.bow_share is not None and fry.bow_share.value >= curved_from:
        found.append(Mark.CURVED)
    if torn_ends(fry, standard):
        found.append(Mark.TORN_END)
    return found


def _colour_marks(fry: Fry, standard: Standard) -> list[Mark]:
    if fry.colour is None:
        return []
    scale = standard.scale
    found = place_on_scale(scale, fry.colour.lab, fry.colour.u)
    inside = scale.target_from <= float(found.place) <= scale.target_to
    return [] if inside and found.off_scale_de <= scale.off_scale_de else [Mark.COLOUR]
