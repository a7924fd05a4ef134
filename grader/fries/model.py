"""What is known of each fry on a plate. Lengths in mm in the fry's own plane; colour in CIELAB, D65, 2 degrees."""

import math
from dataclasses import dataclass
from enum import Enum, Flag, auto

import numpy as np

from grader.arrays import FloatArray, IntArray, LabelArray, frozen


class FryFlag(Flag):
    """What is doubtful or special about a fry; `FLAG_WORDS` explains each."""

    NONE = 0
    END_HIDDEN = auto()
    AT_PHOTO_EDGE = auto()
    SPLIT_FROM_NEIGHBOUR = auto()
    ODD_SHAPE = auto()
    SHINY = auto()
    CLIPPED = auto()
    ON_EDGE = auto()
    SLOPING = auto()


FLAG_WORDS: dict[FryFlag, str] = {
    FryFlag.END_HIDDEN: "an end is hidden under another fry, so it has a colour but no length",
    FryFlag.AT_PHOTO_EDGE: "it runs out of the picture, so it has a colour but no length",
    FryFlag.SPLIT_FROM_NEIGHBOUR: "it touches a neighbour and was separated from it",
    FryFlag.ODD_SHAPE: "its outline is not that of one strip, it may be several fries: it has a colour, but no sizes",
    FryFlag.SHINY: "a large part of it reflects the light, and was left out of its colour",
    FryFlag.CLIPPED: "part of it is too bright for the camera",
    FryFlag.SLOPING: "it is a wedge: its faces slope and get less light than the card, so it has sizes, but no colour",
    FryFlag.ON_EDGE: "it lies on an edge: how wide it was cut doesn't show, so it has no width",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A value and its standard uncertainty (k = 1), both in the unit of the field that holds them.

    `shared_u` is the part of `u` by which all such values of a plate are off together; the rest is this one's own.
    """

    value: float
    u: float
    shared_u: float = 0.0

    @property
    def own_u(self) -> float:
        """What is this one's own of `u`."""
        return math.sqrt(max(self.u**2 - self.shared_u**2, 0.0))


Gaps = tuple[Measured | None, Measured | None]
"""Of a fry's first end and its last; None where an end can't be seen free of others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """An estimated mass, g, with its standard uncertainties (k = 1).

    Attributes
    ----------
    shared_u
        What all fries of a plate share: how dense they are, how thick the cut is. It moves all masses by one factor.
    own_u
        This fry's own: its thickness, which isn't seen, and its area.
    """

    value: float
    shared_u: float
    own_u: float

    @property
    def u(self) -> float:
        """Both parts together."""
        return math.hypot(self.shared_u, self.own_u)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Colour:
    """A mean colour.

    Attributes
    ----------
    lab
        (3,) CIELAB of the mean reflectance of the flesh that shows.
    shared
        (k, 3) what all fries of the photo share, cause by cause (correction, light, shine): how one standard
        uncertainty of it moves L*, a* and b* together. The causes are independent of each other.
    own_u
        (3,) standard uncertainty that is this fry's own.
    """

    lab: FloatArray
    shared: FloatArray
    own_u: FloatArray

    @property
    def shared_u(self) -> FloatArray:
        """(3,) standard uncertainty that all fries of the photo share."""
        return np.asarray(np.sqrt((self.shared**2).sum(axis=0)), float)

    @property
    def u(self) -> FloatArray:
        """(3,) both parts together."""
        return (self.shared_u**2 + self.own_u**2) ** 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fry:
    """One fry.

    Attributes
    ----------
    number
        1, 2, ...: its value in the plate's labels.
    outline_px
        (k, 2) its outline in the photo, px (x, y).
    centreline_px
        (k, 2) its centreline in the photo, end to end, px.
    length_mm, straight_mm
        Along the centreline, and straight from end to end; None where an end is hidden or the shape is odd.
    width_mm
        Median across the centreline; None in a heap, where other fries lie over its sides, where the shape is odd, or
        where it lies on an edge.
    bow_mm
        How far its centreline leaves the straight line between its ends; None where it has no length.
    area_mm2
        What shows of it, in the plane of its middle.
    colour
        Of the flesh that shows; None where too little of it does, or where its faces slope.
    body_lab, end_labs
        (3,) colour of the middle half, and of each end's outer eighth; None where it can't be told.
    spread_de
        Root mean square CIE 2000 difference of its flesh from its own mean.
    dark_end_mm
        How far a dark end reaches from the tip; None where there is none.
    dark_end_dl
        How much darker (L*, positive) that end is than the body; None where there is none.
    spots_mm
        Diameters of its dark spots, mm.
    skin_share
        Share of its visible surface that is skin, 0 to 1.
    whole
        Both ends show, of one fry.
    bow_share
        `bow_mm` over its straight length; None also where it is too short for its ends not to pass for a bow.
    end_gaps_mm
        How deep a gap a straight edge laid against either end leaves, first end and last; None where it isn't whole.
    mass_g
        Estimated: its thickness isn't seen. None where it isn't whole.
    """

    number: int
    outline_px: FloatArray
    centreline_px: FloatArray
    length_mm: Measured | None
    straight_mm: Measured | None
    width_mm: Measured | None
    area_mm2: float
    colour: Colour | None
    body_lab: FloatArray | None
    end_labs: tuple[FloatArray, FloatArray] | None
    spread_de: float | None
    dark_end_mm: Measured | None
    dark_end_dl: float | None
    spots_mm: tuple[float, ...]
    skin_share: float
    whole: bool
    flags: FryFlag
    bow_mm: float | None = None
    bow_share: Measured | None = None
    end_gaps_mm: Gaps | None = None
    mass_g: Mass | None = None


class Thing(Enum):
    """What something that is no fry looks like, in words."""

    STICK = "a stick: far narrower for its length than the fries here"
    PRONGS = "pronged, as a fork or a pick is"
    OTHER_FOOD = "far redder than the fries here, as a carrot is"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoFry:
    """Something that is no fry: how it measured as one, what it looks like, its pixels' flat places (k,)."""

    fry: Fry
    thing: Thing
    pixels: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """The fries of one photo, and where each lies: `labels` is (h, w), 0 where no fry is; what else was left out.

    They may lie in a heap, or be unlike any that the network learned from: then colour and shape told them alone.
    """

    fries: tuple[Fry, ...]
    labels: LabelArray
    heaped: bool
    unfamiliar: bool = False
    no_fries: tuple[NoFry, ...] = ()

    @property
    def lying(self) -> LabelArray:
        """(h, w) as `labels`, with what was left out by its number."""
        if not self.no_fries:
            return self.labels
        lying = self.labels.copy()
        for one in self.no_fries:
            np.put(lying, one.pixels, one.fry.number)
        return frozen(lying)
