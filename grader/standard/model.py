"""The house standard as typed values: a colour scale, a cut specification, and limits on what a batch may show.

Every threshold is in the unit that its name ends in; every share is 0 to 1, by count unless it says otherwise. A field
that is None was left out: its limit isn't judged.
"""

from dataclasses import dataclass
from typing import Literal

from grader.arrays import FloatArray

LengthIs = Literal["centreline", "straight"]
Surface = Literal["oiled", "matt"]
ShareBy = Literal["count", "mass"]
StageName = Literal["blanched", "finished", "held"]
FINISHED: StageName = "finished"
"""What a plate shows unless it says otherwise."""

MM_PER_INCH = 25.4
"""Exactly: the inch is defined so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A named step of the house's colour scale: its anchor in CIELAB, D65, 2 degrees."""

    name: str
    lab: tuple[float, float, float]


END_STEPS = 0.5
"""How far beyond its first and last anchor a scale gives places; what is paler or darker still stays at that place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourScale:
    """The house's own scale, pale to too dark; a fry's place is continuous, 1.0 at the first anchor, 2.0 at the second.

    `off_scale_de` is the CIE 2000 distance from the scale's path beyond which a colour is on no step.
    """

    steps: tuple[Step, ...]
    target_from: float
    target_to: float
    off_scale_de: float

    @property
    def pale_end(self) -> float | None:
        """Where its target begins; None where that takes whatever is paler, as no place on the scale lies below it."""
        return self.target_from if self.target_from > 1 - END_STEPS else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScalePlace:
    """Where colours lie on a scale.

    Attributes
    ----------
    place
        (...) continuous place, 1.0 at the first anchor.
    place_u
        (...) its standard uncertainty, steps, from that of the colours.
    off_scale_de
        (...) CIE 2000 distance from the scale's path: how unlike any step the colour is.
    slope
        (..., 3) change of place by L*, a*, b*: it carries each part of a colour's uncertainty to the place by itself.
    """

    place: FloatArray
    place_u: FloatArray
    off_scale_de: FloatArray
    slope: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """The cut as ordered: nominal width and how far a fry's width may be from it; skin left on or peeled."""

    name: str
    width_mm: float
    tolerance_mm: float
    skin_on: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthShare:
    """At least `at_least_share` (0 to 1) of the fries are at least `length_mm` long.

    Attributes
    ----------
    length_in
        The same length in inches where the standard gives it so; None where it gives it in mm.
    by
        What the share is a share of: the fries' count, as published length designations have it, or their estimated
        mass, as some houses do.
    """

    length_mm: float
    at_least_share: float
    length_in: float | None = None
    by: ShareBy = "count"


@dataclass(frozen=True, slots=True, kw_only=True)
class Defects:
    """From when on something counts as a defect.

    Attributes
    ----------
    piece_from_mm
        Shorter bits are crumbs, no fries: they count nowhere but in their own limit.
    short_below_mm
        A fry shorter than this is a short piece.
    sliver_below_width_mm
        A fry narrower than this is a sliver.
    dark_end_from_mm, dark_end_from_dl
        A dark end reaches at least so far from the tip and is at least so much darker (L*) than the fry's own body.
    spot_from_mm
        A spot has at least this diameter.
    scrap_below_mm
        A short piece that is even shorter than this is a scrap, too small to be served as a fry.
    curved_from_bow_share
        A fry counts as curved beyond use where its bow is at least this share of its straight length: 0.1 is 10 mm on
        100 mm. As a share, because a bow that ruins a short fry is nothing on a long one; and trade standards of other
        long produce give it so (UNECE FFV-15, cucumbers: height of the arc, mm per 10 cm of length).
    torn_end_from_mm
        An end counts as torn where a straight edge laid against it leaves a gap at least so deep: a clean cut leaves
        none, be it square, slanted, tapered or rounded.
    """

    piece_from_mm: float
    short_below_mm: float
    sliver_below_width_mm: float
    dark_end_from_mm: float
    dark_end_from_dl: float
    spot_from_mm: float
    scrap_below_mm: float | None = None
    curved_from_bow_share: float | None = None
    torn_end_from_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a batch may show at most (shares by count, 0 to 1).

    Attributes
    ----------
    length_shares
        Shortest length first, of those by count and of those by mass.
    width_off_share_at_most
        Fries outside the cut's tolerance that are no slivers: those have their own limit.
    spread_steps_at_most
        Standard deviation of the fries' places on the colour scale.
    out_of_target_at_most
        Fries whose own colour is outside the target range.
    scrap_share_at_most
        Scraps; they are among the short pieces too.
    crumb_share_at_most
        Crumbs, of all pieces found, crumbs included.
    curved_share_at_most, torn_end_share_at_most
        Fries curved beyond use, and those with a torn end.
    """

    length_shares: tuple[LengthShare, ...]
    short_share_at_most: float
    sliver_share_at_most: float
    dark_end_share_at_most: float
    spotted_share_at_most: float
    width_off_share_at_most: float
    spread_steps_at_most: float
    out_of_target_at_most: float
    scrap_share_at_most: float | None = None
    crumb_share_at_most: float | None = None
    curved_share_at_most: float | None = None
    torn_end_share_at_most: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What a standard asks of fries that aren't finished, or were held since: what isn't said here is as for finished.

    Attributes
    ----------
    target_from, target_to
        Where the plate's mean place belongs at this stage; from 0 on is however pale (`ColourScale.pale_end`).
    surface
        As of `Standard`: blanched fries are matt (common practice, no source).
    spread_steps_at_most, out_of_target_at_most, dark_end_share_at_most, spotted_share_at_most
        The limits on what colour shows, as of `Limits`. Sizes are the same at all stages.
    """

    name: StageName
    target_from: float
    target_to: float
    surface: Surface | None = None
    spread_steps_at_most: float | None = None
    out_of_target_at_most: float | None = None
    dark_end_share_at_most: float | None = None
    spotted_share_at_most: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """One version of a house standard, as it judges fries of one stage: finished ones, as it is read from its file.

    Attributes
    ----------
    length_is
        Which length its limits mean.
    surface
        What is graded: fried strips, which oil makes shine, or matt ones (raw strips, painted pieces of known colour).
    stages
        What it asks of blanched and of held fries; what it says elsewhere is of finished ones.
    stage, whole
        Which stage it judges, and the standard as it was read; None where it is that itself. `stages.at_stage` sets
        them; neither is written to a file.
    """

    schema_version: int
    name: str
    version: str
    note: str
    length_is: LengthIs
    surface: Surface
    scale: ColourScale
    cut: Cut
    defects: Defects
    limits: Limits
    plate_height_above_card_mm: float
    stages: tuple[Stage, ...] = ()
    stage: StageName = FINISHED
    whole: "Standard | None" = None

    @property
    def as_read(self) -> "Standard":
        """The standard as it stands in its file, whichever stage this one judges."""
        return self.whole or self
