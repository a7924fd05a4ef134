"""The kit of a trueness study: pieces of known size or colour, and where each lies in which photo.

Places are numbered 1 to 9 as text is read: three rows of three, 1 at the top left when the card stands upright,
whichever way the phone was held. Differences are always what was read minus what is known.
"""

from dataclasses import dataclass
from typing import Literal

from grader.fries.model import Measured
from grader.trueness.accepted import AcceptedLimits

Kind = Literal["bar", "chip"]
"""A bar is of known length and width, a chip of known colour."""

Quantity = Literal["length_mm", "width_mm", "L", "a", "b"]
LENGTHS: tuple[Quantity, ...] = ("length_mm", "width_mm")
COLOURS: tuple[Quantity, ...] = ("L", "a", "b")

ROWS = COLUMNS = 3
PLACES = ROWS * COLUMNS
LEAST_BARS, LEAST_CHIPS = 20, 12
LEAST_CHIP_PHOTOS = 2
"""Photos of the chips under each light: with one, the photo's own error could not be told from the light's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of the kit and what is known of it; None where it was not measured (yet).

    `lab` is CIELAB, CIE 1931 2 degree observer, D65, each channel with its standard uncertainty (k = 1).
    """

    name: str
    kind: Kind
    length_mm: Measured | None = None
    width_mm: Measured | None = None
    lab: tuple[Measured, Measured, Measured] | None = None

    def known(self, quantity: Quantity) -> Measured | None:
        """What is known of one quantity, None where nothing is."""
        match quantity:
            case "length_mm":
                return self.length_mm
            case "width_mm":
                return self.width_mm
        return None if self.lab is None else self.lab[COLOURS.index(quantity)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The pieces at one place of one photo, left to right (top to bottom where they lie across)."""

    place: int
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPhoto:
    """One photo to take.

    Attributes
    ----------
    raised_mm
        How much higher than usual the pieces lie; 0 on the plate itself.
    file
        What the photo is called.
    laid
        Which pieces lie where; a place that stays empty is not listed.
    """

    name: str
    kind: Kind
    light: str
    raised_mm: float
    file: str
    laid: tuple[Laid, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """Everything that was made and planned for a study.

    Attributes
    ----------
    sheet, print_run
        Key of the card's layout, and its print run as its serial has it.
    lights
        The house's own lights, in words.
    by
        Initials of who does the study.
    length_reference, colour_reference
        What the bars and the chips were measured with, in words.
    counts_months
        For how long the study shall count.
    accepted
        The most that the house takes to be off.
    """

    sheet: str
    print_run: str
    by: str
    lights: tuple[str, ...]
    length_reference: str
    colour_reference: str
    counts_months: int
    accepted: AcceptedLimits
    pieces: tuple[Piece, ...]
    photos: tuple[PlannedPhoto, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One piece in one photo: what was read of one quantity against what is known of it."""

    piece: str
    photo: str
    light: str
    place: int
    raised_mm: float
    quantity: Quantity
    read: Measured
    known: Measured

    @property
    def difference(self) -> float:
        """Read minus known."""
        return self.read.value - self.known.value
