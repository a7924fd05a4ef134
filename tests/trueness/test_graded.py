"""What a graded photo may claim, from the card in it, the house's values and its studies."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from grader.card import load_layouts
from grader.card.model import Camera, FoundSheet
from grader.card_values import CardValues, IdentifiedCard, KnownValues
from grader.grading import METHOD_VERSION, _standing
from grader.trueness import ColourLevel, LengthLevel
from tests.trueness.made_up import Off, study, values

DAY = date(2026, 12, 1)
GOOD = replace(
    study(Off(bias=0.1, pieces=0.2, photos=0.15, rest=0.2), np.random.default_rng(1)), method_version=METHOD_VERSION
)


def _card(known: CardValues | None) -> IdentifiedCard:
    layout = next(one for one in load_layouts() if one.key == "card-a6")
    camera = Camera(
        intrinsics=np.eye(3),
        rotation=np.eye(3),
        translation=np.zeros(3),
        radial=0.0,
        size_px=(100, 100),
        focal_known=True,
        scale_u=0.003,
    )
    sheet = FoundSheet(
        layout=layout,
        homography=np.eye(3),
        corners_px=np.zeros((4, 2)),
        camera=camera,
        hidden_tags=(),
        tag_rms_px=0.1,
    )
    return IdentifiedCard(sheet=sheet, designed=layout, serial=None, values=known, findings=())


@pytest.mark.parametrize(
    ("card", "asked", "colour", "length"),
    [
        (values(), True, ColourLevel.ABSOLUTE, LengthLevel.ABSOLUTE),
        (values(), False, ColourLevel.TREND_ONLY, LengthLevel.AS_PRINTED),
        (values("designed"), True, ColourLevel.TREND_ONLY, LengthLevel.ABSOLUTE),
        (values(run="D3F4G"), True, ColourLevel.HOUSE_RELATIVE, LengthLevel.AS_PRINTED),
        (None, True, ColourLevel.TREND_ONLY, LengthLevel.AS_PRINTED),
    ],
)
def test_it_follows_from_the_card_the_values_and_the_studies(
    card: CardValues | None, asked: bool, colour: ColourLevel, length: LengthLevel
) -> None:
    known = KnownValues(values=(), on=DAY) if asked else None
    standing = _standing(_card(card), [GOOD], known)
    assert (standing.colour, standing.length) == (colour, length)


def test_the_day_decides() -> None:
    too_late = KnownValues(values=(), on=date(2027, 11, 26))
    card = _card(values(expires_on=date(2030, 1, 1)))
    assert _standing(card, [GOOD], too_late).colour is ColourLevel.HOUSE_RELATIVE
