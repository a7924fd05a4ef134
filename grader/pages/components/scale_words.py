"""The portion scale beside the photo, in words: fries that were taken off a plate before its photo show here."""

from grader.fries.plate_mass import OnScale, against_scale, reach_g
from grader.language import said, tr
from grader.records.database.plate_weights import Weighed

_FOUND = {
    OnScale.ALIKE: said("that fits"),
    OnScale.MORE: said("fries may have been taken off before the photo, or lie hidden under others"),
    OnScale.LESS: said("was the plate weighed later, or the scale not set to nothing with the empty plate?"),
}


def scale_words(told: Weighed) -> str:
    """What both say, and what that may mean."""
    return tr(
        "Scale {scale} g, fries in the photo about {photo} ± {doubt} g: {found}",
        scale=f"{told.scale_g:.0f}",
        photo=f"{told.photo.value:.0f}",
        doubt=f"{reach_g(told.scale_g, told.photo):.0f}",
        found=tr(_FOUND[against_scale(told.scale_g, told.photo)]),
    )
