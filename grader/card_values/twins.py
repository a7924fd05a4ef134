"""Two cards of one print run in one photo: which is in use, which was kept in the dark, and how they compare."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.card.finding import find_sheets
from grader.card.layouts import load_layouts
from grader.card.model import FoundSheet
from grader.card.plane import pixels_to_sheet
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
        Serial of the one from the dark; without it that is the right one, and the card in use lies left: as the cards
        are read, whichever way the phone was held.
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
    """The card in use, and the one from the dark."""
    if kept is None:
        return _left_and_right(*cards)
    one, other = cards
    if other.serial == kept:
        return one, other
    if one.serial == kept:
        return other, one
    raise CardUnusable(
        f"Neither card in this photo is {kept}, or its serial can't be read.",
        hint="Check the serial, keep the square code on the cards free and sharp, and photograph again.",
        code="kept_card_missing",
    )


def _left_and_right(one: IdentifiedCard, other: IdentifiedCard) -> tuple[IdentifiedCard, IdentifiedCard]:
    """Both, the left one first: as they are read or, where they lie on their sides or head to foot, as they are seen.

    A phone held flat over the table often doesn't know which way up it is: then the photo lies turned, the cards don't.
    """
    as_read = _way(one.sheet, other.sheet) - _way(other.sheet, one.sheet)
    as_seen = _middle_px(other.sheet) - _middle_px(one.sheet)
    agree = float(np.linalg.norm(as_read)) > 1.0
    way = next((way for way, sure in ((as_read, agree), (as_seen, True)) if sure and abs(way[0]) > abs(way[1])), None)
    if way is None:
        raise CardUnusable(
            "It can't be told which card is the left one: they lie one above the other.",
            hint="Lay the card in use left and its twin from the dark right, both upright, and photograph again.",
            code="kept_card_missing",
        )
    return (one, other) if way[0] > 0 else (other, one)


def _way(sheet: FoundSheet, other: FoundSheet) -> FloatArray:
    """(2,) of length 1: from a sheet's middle to that of another, right and down as the first is read."""
    away = pixels_to_sheet(sheet, _middle_px(other)) - np.array([sheet.layout.width_mm, sheet.layout.height_mm]) / 2
    return np.asarray(away / np.linalg.norm(away))


def _middle_px(sheet: FoundSheet) -> FloatArray:
    return np.asarray(sheet.corners_px.mean(axis=0))


def _refuse_strangers(cards: list[IdentifiedCard]) -> None:
    serials = [card.serial for card in cards if card.serial is not None]
    if len({serial.run for serial in serials}) > 1:
        raise CardUnusable(
            f"These cards are of two print runs, {serials[0].run} and {serials[1].run}: they never were alike.",
            hint="Compare a card with one of its own print run that was kept in the dark.",
            code="cards_of_two_runs",
        )
