"""What the commands about a lot test fry do: strips scored from photos, the house's own time."""

from collections.abc import Sequence
from pathlib import Path

from grader.cli.grade_run import grade_file
from grader.errors import GraderError
from grader.line.fry_numbers import Chips
from grader.line.lot_answer import HouseTime
from grader.line.lot_fry import TestStrip
from grader.line.lot_fry_table import Planned
from grader.line.trial import Noise
from grader.line.trial_choice import choose_curve
from grader.line.trial_table import read_plates
from grader.records.house import known_today
from grader.records.lot_photos import strips_of_photo
from grader.standard.model import Standard


def score_photos(
    planned: Sequence[Planned], photos: Sequence[Path], *, standard: Standard, chips: Chips | None
) -> tuple[TestStrip, ...]:
    """The planned strips scored from a photo of each basket, in the order of the table; without those without colour.

    Raises
    ------
    GraderError
        Not one photo a basket, the same photo for two, a photo that can't be judged, or one that shows other than the
        basket's strips.
    """
    baskets = list(dict.fromkeys(one.basket for one in planned))
    if len(photos) != len(baskets):
        hint = f"Give a photo of each basket, in this order: {', '.join(baskets)}."
        raise GraderError(f"{len(photos)} photos of {len(baskets)} baskets.", hint=hint)
    strips: list[TestStrip] = []
    basket_of: dict[str, str] = {}
    for basket, photo in zip(baskets, photos, strict=True):
        here = [one for one in planned if one.basket == basket]
        graded = grade_file(photo, standard=standard, known=known_today())
        if basket_of.setdefault(graded.sha256, basket) != basket:
            fault = f"{photo} is given for basket {basket} and is the photo of basket {basket_of[graded.sha256]}."
            raise GraderError(fault, hint="Give each basket's own photo: strips that are scored twice tell nothing.")
        strips += strips_of_photo(here, graded, standard=standard, chips=chips)
    return tuple(strips)


def house_time(trial: Path | None, seconds: float | None, celsius: float | None, *, steps: int) -> HouseTime | None:
    """What the house fries a good lot for, with what its trial found; None where nothing of it is given.

    Raises
    ------
    GraderError
        Only some of the three are given, or the trial can't tell.
    """
    if trial is None and seconds is None and celsius is None:
        return None
    if trial is None or seconds is None or celsius is None:
        raise GraderError("A time for the lot takes --trial, --seconds and --celsius.", hint="Give all three, or none.")
    return HouseTime(fit=choose_curve(read_plates(trial), Noise(), steps=steps).fit, seconds=seconds, celsius=celsius)
