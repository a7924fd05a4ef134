"""Why a photo was refused, and what is doubtful about one that was measured: words with a code, and what to do."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.card.model import FoundSheet
from grader.card_values import IdentifiedCard
from grader.errors import Finding
from grader.fries import Plate


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a photo was refused, or a warning where it was measured; a quiet one is worth knowing and alarms nobody."""

    code: str
    message: str
    hint: str
    quiet: bool = False


def told(findings: Sequence[Finding]) -> tuple[Reason, ...]:
    """What gates found, as it is told."""
    return tuple(Reason(code=one.code, message=one.message, hint=one.hint) for one in findings)


def of_card(card: IdentifiedCard) -> tuple[Reason, ...]:
    """What there is to say of the card in a photo."""
    return tuple(
        Reason(code=one.code, message=one.message, hint=one.hint, quiet=one.code == "card_not_measured")
        for one in card.findings
    )


def of_plate(sheet: FoundSheet, plate: Plate) -> tuple[Reason, ...]:
    """Warnings that hold whatever the colours are: what was found on the plate, and how sure its scale is."""
    warnings = []
    if not plate.fries:
        warnings.append(
            Reason(
                code="no_fries",
                message="No fries were found on this plate.",
                hint="Lay the fries on a plate or tray of another colour, with the card beside it, and take it again.",
            )
        )
    if plate.no_fries:
        told = "; ".join(f"{one.fry.number} ({one.thing.value})" for one in plate.no_fries)
        warnings.append(
            Reason(
                code="no_fry_left_out",
                message=f"Left out, because it is no fry: {told}.",
                hint="Take it off the plate before you photograph; if it is a fry after all, restore it by hand.",
            )
        )
    if plate.heaped:
        warnings.append(
            Reason(
                code="heaped",
                message="The fries lie in a heap: their colour was measured, their lengths were not.",
                hint="For lengths, spread the fries out so that each shows whole.",
            )
        )
    if plate.unfamiliar:
        warnings.append(
            Reason(
                code="unfamiliar_fries",
                message="These fries look unlike any that the program learned from: colour and shape alone told them.",
                hint="Look at the outlines before you trust a number. In even light, on a plain plate, it sees more.",
            )
        )
    if sheet.hidden_tags:
        warnings.append(
            Reason(
                code="tag_hidden",
                message="A corner of the card is hidden: lengths are a little less sure.",
                hint="Keep all corners of the card in the picture and free.",
            )
        )
    if not sheet.camera.focal_known:
        warnings.append(
            Reason(
                code="focal_unknown",
                message="The photo doesn't say its focal length: the camera's height was estimated.",
                hint="Send the phone's own file, not a copy from a chat or a screenshot.",
            )
        )
    return tuple(warnings)
