"""What a result may claim: colours as a trend only, house-relative or absolute; lengths as printed or absolute.

It follows from what is known of the card (measured or not) and of the method (a trueness study in date or not), and
stands on every verdict. It says nothing of whether food is done or safe: no colour does.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from grader.card_values import CardValues
from grader.trueness.checks import Check, Found, all_within, colour_checks, length_checks
from grader.trueness.study import Study


class ColourLevel(StrEnum):
    """From the weakest to the strongest."""

    TREND_ONLY = "trend only"
    HOUSE_RELATIVE = "house-relative"
    ABSOLUTE = "absolute"


class LengthLevel(StrEnum):
    """Lengths don't depend on the card's colours: without a study they are as right as the printed rule is long."""

    AS_PRINTED = "as the printed rule says"
    ABSOLUTE = "absolute"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a result may claim, why, and what would lift it (empty where nothing would)."""

    colour: ColourLevel
    colour_reason: str
    colour_lift: str
    length: LengthLevel
    length_reason: str
    length_lift: str

    @property
    def level(self) -> str:
        """The level of the colours, by its name."""
        return self.colour.value

    @property
    def short(self) -> str:
        """For a picture: one line."""
        return f"Colour: {self.colour.value} · Length: {self.length.value}"


def standing_of(values: CardValues | None, study: Study | None, on: date, method_version: str) -> Standing:
    """What results from a card with these values may claim on a day.

    Parameters
    ----------
    values
        Of the card's print run; None where its serial isn't known or nobody measured it.
    study
        The newest of the same print run; None where there is none.
    on
        The day of the grading.
    method_version
        The method that grades.
    """
    against_study = _against(study, values, on, method_version)
    length, length_reason, length_lift = _length(study, against_study)
    colour, colour_reason, colour_lift = _colour(values, study, on, against_study)
    return Standing(
        colour=colour,
        colour_reason=colour_reason,
        colour_lift=colour_lift,
        length=length,
        length_reason=length_reason,
        length_lift=length_lift,
    )


def weakest(standings: Iterable[Standing | None]) -> Standing | None:
    """What a verdict over several photos may claim: no more than the weakest of them; None of none."""
    known = [one for one in standings if one is not None]
    if not known:
        return None
    colour = min(known, key=lambda one: list(ColourLevel).index(one.colour))
    length = min(known, key=lambda one: list(LengthLevel).index(one.length))
    return Standing(
        colour=colour.colour,
        colour_reason=colour.colour_reason,
        colour_lift=colour.colour_lift,
        length=length.length,
        length_reason=length.length_reason,
        length_lift=length.length_lift,
    )


_DO_A_STUDY = "Do a trueness study with cards of this print run: python -m grader trueness plan."


def _against(study: Study | None, values: CardValues | None, on: date, method_version: str) -> str:
    """Why a study doesn't count for this card on this day; empty where it does."""
    if values is None:
        return "it is not known which print run the card is of"
    if study is None:
        return "no trueness study was done with this print run"
    if (study.sheet, study.print_run) != (values.layout, values.run):
        return f"the trueness study was done with print run {study.print_run}, not with {values.run}"
    if study.method_version != method_version:
        return f"the trueness study was done with method {study.method_version}, and this is method {method_version}"
    if not study.made_on <= on <= study.expires_on:
        return f"the trueness study counts from {study.made_on.isoformat()} to {study.expires_on.isoformat()}"
    return ""


def _colour(
    values: CardValues | None, study: Study | None, on: date, against_study: str
) -> tuple[ColourLevel, str, str]:
    if values is None or not values.measured:
        return (
            ColourLevel.TREND_ONLY,
            "Nobody measured what colours this card was printed in: compare with plates beside the same card only.",
            "Have a card of this print run measured, and keep its values.",
        )
    if values.expired(on):
        return (
            ColourLevel.TREND_ONLY,
            f"The card's measured colours ran out on {values.expires_on.isoformat()}: cards fade.",
            "Have a card of this print run measured anew, or print and measure new ones.",
        )
    run = f"Compare with any card of print run {values.run}, which was measured."
    if study is None or against_study:
        return ColourLevel.HOUSE_RELATIVE, f"{run} Not absolute: {against_study}.", _DO_A_STUDY
    if not study.with_colours_of(values):
        measured = f"measured on {study.card_measured_on.isoformat()}"
        before = "designed, before it was measured" if study.card_method == "designed" else measured
        against = f"the trueness study was done with the card's colours as {before}"
        return ColourLevel.HOUSE_RELATIVE, f"{run} Not absolute: {against}.", _DO_A_STUDY
    checks = colour_checks(study)
    if not all_within(checks):
        return ColourLevel.HOUSE_RELATIVE, f"{run} Not absolute: {_what_failed(checks)}.", _mend(checks)
    return ColourLevel.ABSOLUTE, _true_colours(study), ""


def _length(study: Study | None, against_study: str) -> tuple[LengthLevel, str, str]:
    as_printed = "Lengths are right if the printed rule is as long as it says."
    if study is None or against_study:
        return LengthLevel.AS_PRINTED, f"{as_printed} Not absolute: {against_study}.", _DO_A_STUDY
    checks = length_checks(study)
    if not all_within(checks):
        return LengthLevel.AS_PRINTED, f"{as_printed} Not absolute: {_what_failed(checks)}.", _mend(checks)
    return LengthLevel.ABSOLUTE, _true_lengths(study), ""


def _true_colours(study: Study) -> str:
    distance = study.distance()
    found = "" if distance is None else f" to {distance.median_de:.1f} CIE 2000 units (95 %: {distance.high_de:.1f})"
    return (
        f"The card was measured, and a trueness study of {study.made_on.isoformat()} found colours true{found} under: "
        f"{'; '.join(study.lights)}. Under another light they are house-relative."
    )


def _true_lengths(study: Study) -> str:
    one = study.agreement("length_mm")
    found = "" if one is None else f"; 19 of 20 are off by {one.lower.value:+.1f} to {one.upper.value:+.1f} mm"
    return f"A trueness study of {study.made_on.isoformat()} with this print run found lengths and widths true{found}."


def _what_failed(checks: tuple[Check, ...]) -> str:
    failed = [check for check in checks if check.found is not Found.WITHIN]
    worst = next((check for check in failed if check.found is Found.BEYOND), failed[0])
    found = "found more than is accepted" if worst.found is Found.BEYOND else "did not show enough"
    return f"the trueness study {found} ({worst.title}: {worst.words})"


def _mend(checks: tuple[Check, ...]) -> str:
    if any(check.found is Found.BEYOND for check in checks):
        return "Look for the cause (card, print, light, method), then do the study again."
    return "Do the study again with more photos or more pieces."
