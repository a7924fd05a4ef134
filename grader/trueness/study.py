"""A trueness study as a value: what it was made with, what it found, how long it counts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from grader.card_values import CardValues, Method
from grader.trueness.accepted import AcceptedLimits
from grader.trueness.agreement import Agreement
from grader.trueness.effects import Effect
from grader.trueness.model import Quantity

FORMAT_VERSION = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourDistance:
    """CIE 2000 distance between read and known colour: median and 95th percentile; `light` None for all together."""

    light: str | None
    readings: int
    median_de: float
    high_de: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What was laid and what came of it: nothing is left out in silence.

    Attributes
    ----------
    photos, photos_refused, photos_unclear
        Planned; missing, refused by the grader or with another card; with places that could not be told apart or that
        don't fit the worksheet.
    laid, met, not_met
        Pieces over all photos that were judged: each laying of a piece counts.
    without_value
        Of those met: layings of which the grader gave no size or colour.
    strangers
        Found pieces that the worksheet doesn't know.
    """

    photos: int
    photos_refused: int
    photos_unclear: int
    laid: int
    met: int
    not_met: int
    without_value: int
    strangers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """One study of the method's trueness under a house's own lights.

    Attributes
    ----------
    made_on, expires_on
        The day of the study, and the last day on which it counts.
    by
        Initials.
    sheet, print_run
        Key of the card's layout, and its print run: the study holds for cards of this run only.
    method_version
        The method that was studied; a newer one needs a study of its own.
    card_method, card_measured_on
        Where the card's colours came from and of which day they were: the study's colours hold for these only.
    lights
        The house's lights that it was made under, in words.
    length_reference, colour_reference
        What the pieces were measured with, in words.
    photos_sha256
        Of the photos that it rests on, in their order.
    """

    format_version: int
    made_on: date
    expires_on: date
    by: str
    sheet: str
    print_run: str
    method_version: str
    card_method: Method
    card_measured_on: date
    lights: tuple[str, ...]
    length_reference: str
    colour_reference: str
    limits: AcceptedLimits
    tally: Tally
    agreements: tuple[Agreement, ...]
    distances: tuple[ColourDistance, ...]
    effects: tuple[Effect, ...]
    photos_sha256: tuple[str, ...]

    def agreement(self, quantity: Quantity, light: str | None = None) -> Agreement | None:
        """The agreement of one quantity, over all lights or under one; None where it was not studied."""
        found = (one for one in self.agreements if (one.quantity, one.light) == (quantity, light))
        return next(found, None)

    def with_colours_of(self, values: CardValues) -> bool:
        """Whether the study was made with these very colours of the card."""
        return (self.card_method, self.card_measured_on) == (values.method, values.measured_on)

    def distance(self, light: str | None = None) -> ColourDistance | None:
        """The CIE 2000 distances over all lights or under one; None where they were not studied."""
        return next((one for one in self.distances if one.light == light), None)


def newest_for(studies: Sequence[Study], *, sheet: str, print_run: str, on: date) -> Study | None:
    """The newest study of a print run by a day, the first of all where all are later; None where there is none.

    Of two of one day the one that comes later in `studies` counts.
    """
    own = [study for study in studies if (study.sheet, study.print_run) == (sheet, print_run)]
    own.sort(key=lambda study: study.made_on)
    by_then = [study for study in own if study.made_on <= on]
    return by_then[-1] if by_then else next(iter(own), None)
