"""Which card lies in a photo, and the sheet in the colours that this card is known to have."""

from dataclasses import dataclass, replace
from datetime import date

from grader.arrays import PixelArray
from grader.card.model import FoundSheet, Layout
from grader.card.serial import Serial, read_serial
from grader.card_values.applying import apply_values
from grader.card_values.lookup import KnownValues, find_values, measured_runs
from grader.card_values.model import CardValues
from grader.errors import Finding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IdentifiedCard:
    """A card in a photo.

    Attributes
    ----------
    sheet
        As found, its layout in the colours of `values` where there are any.
    designed
        The same layout as designed.
    serial
        None where the card carries none or it can't be read.
    values
        What is known of its print run; None where nothing is.
    findings
        What is doubtful about that, gravest first.
    """

    sheet: FoundSheet
    designed: Layout
    serial: Serial | None
    values: CardValues | None
    findings: tuple[Finding, ...]

    @property
    def measured(self) -> bool:
        """The sheet is in colours that somebody measured."""
        return self.values is not None and self.values.measured


def identify_card(pixels: PixelArray, sheet: FoundSheet, known: KnownValues | None) -> IdentifiedCard:
    """Read a card's serial and look up the values of its print run.

    Parameters
    ----------
    pixels
        (h, w, 3) as `Photo` has them: the photo in which the sheet was found.
    known
        What the house has measured, and the day of the photo. None where nobody asked the house: then the card is as
        designed, and nothing is said about that.
    """
    serial = read_serial(pixels, sheet)
    values = None if known is None else find_values(known, serial, sheet.layout)
    return IdentifiedCard(
        sheet=sheet if values is None else replace(sheet, layout=apply_values(sheet.layout, values)),
        designed=sheet.layout,
        serial=serial,
        values=values,
        findings=() if known is None else _findings(serial, values, known, sheet.layout),
    )


def disowned(card: IdentifiedCard) -> IdentifiedCard:
    """The same card without its values: they turned out to be another's (see `compare_fits`)."""
    run = card.values.run if card.values else ""
    finding = Finding(
        code="card_values_mismatch",
        message=f"This card is not as print run {run} was measured; its measured colours were not used.",
        hint="Check that card and readings belong together, and that the card is clean and not faded; measure it anew"
        " or print a new one. Until then compare with plates beside this card only.",
    )
    return IdentifiedCard(
        sheet=replace(card.sheet, layout=card.designed),
        designed=card.designed,
        serial=card.serial,
        values=None,
        findings=(finding,),
    )


def _findings(
    serial: Serial | None, values: CardValues | None, known: KnownValues, layout: Layout
) -> tuple[Finding, ...]:
    if values is not None and values.expired(known.on):
        return (_old(values, known.on),)
    if values is not None and values.measured:
        return ()
    runs = measured_runs(known.values, layout)
    if serial is None and layout.qr is not None and runs:
        return (
            Finding(
                code="card_serial_unreadable",
                message="The card's serial can't be read, so its measured colours could not be used.",
                hint="Keep the square code on the card free and sharp, come nearer, and photograph again.",
            ),
        )
    whose = "This card" if serial is None else f"Print run {serial.run}"
    return (
        Finding(
            code="card_not_measured",
            message=f"{whose} was never measured: colours compare with others beside cards of the same print only.",
            hint="To compare kitchens, have one card of the print run measured and import its readings.",
        ),
    )


def _old(values: CardValues, on: date) -> Finding:
    days = (on - values.expires_on).days
    what = "measured" if values.measured else "printed"
    return Finding(
        code="card_values_old",
        message=f"The card was {what} on {values.measured_on.isoformat()}, and that counted until"
        f" {values.expires_on.isoformat()}, {days} day{'' if days == 1 else 's'} ago.",
        hint="Cards fade: measure this print run anew, or print new cards and have one measured.",
    )
