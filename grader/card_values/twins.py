"""Two cards of one print run in one photo: which is in use, which was kept in the dark, and how they compare."""

from dataclasses import dataclass

from grader.card.finding import find_sheets
from grader.card.layouts import load_layouts
from grader.card.serial import Serial
from grader.card_values.drift import CardDrift, compare_cards
from grader.card_values.identifying import IdentifiedCard, identify_card
from grader.card_values.lookup import KnownValues
from grader.errors import CardUnusable
from grader.photo import Photo


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwinCards:
    """The two cards of a photo and how the one in use drifted; serials are None where they can't be read."""

    layout: str
    working: Serial | None
    kept: Serial | None
    drift: CardDrift


def compare_twins(photo: Photo, *, kept: Serial | None = None, known: KnownValues | None = None) -> TwinCards:
    """Find two cards in a photo and compare them.

    Parameters
    ----------
    photo
        Both cards in it, side by side.
    kept
        Serial of the one from the dark; without it that is the right one, and the card in use lies left.
    known
        The values of the house's print runs: what the dark one is taken to be. It matters little, both are seen alike.

    Raises
    ------
    CardUnusable, ColourFitPoor
        There are no two cards of one kind and print run to be read, or `kept` is none of them.
    """
    sheets = find_sheets(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    if len(sheets) < 2:
        raise CardUnusable(
            f"Only one {sheets[0].layout.name} lies in this photo.",
            hint="Lay the card in use and its twin from the dark side by side, both whole in the picture.",
            code="second_card_missing",
        )
    cards = [identify_card(photo.pixels, sheet, known) for sheet in sheets]
    _refuse_strangers(cards)
    in_use, dark = _told_apart(cards, kept)
    return TwinCards(
        layout=in_use.sheet.layout.key,
        working=in_use.serial,
        kept=dark.serial,
        drift=compare_cards(photo.pixels, in_use.sheet, dark.sheet),
    )


def _told_apart(cards: list[IdentifiedCard], kept: Serial | None) -> tuple[IdentifiedCard, IdentifiedCard]:
    left, right = sorted(cards, key=lambda card: float(card.sheet.corners_px[:, 0].mean()))
    if kept is None or right.serial == kept:
        return left, right
    if left.serial == kept:
        return right, left
    raise CardUnusable(
        f"Neither card in this photo is {kept}, or its serial can't be read.",
        hint="Check the serial, keep the square code on the cards free and sharp, and photograph again.",
        code="kept_card_missing",
    )


def _refuse_strangers(cards: list[IdentifiedCard]) -> None:
    serials = [card.serial for card in cards if card.serial is not None]
    if len({serial.run for serial in serials}) > 1:
        raise CardUnusable(
            f"These cards are of two print runs, {serials[0].run} and {serials[1].run}: they never were alike.",
            hint="Compare a card with one of its own print run that was kept in the dark.",
            code="cards_of_two_runs",
        )
