"""One fry as it goes on disk."""

from grader.fries.model import Fry, FryFlag, Measured, NoFry
from grader.records.json_values import Json, measured_pair, number, numbers
from grader.records.scale_words import fry_place
from grader.standard.model import ColourScale


def flag_names(flags: FryFlag) -> list[str]:
    """The flags of a fry, by their names on disk."""
    return [flag.name.lower() for flag in flags if flag.name]


def _colour(fry: Fry) -> Json:
    if fry.colour is None:
        return {"lab": None, "lab_u": None, "lab_shared_u": None}
    return {
        "lab": numbers(fry.colour.lab),
        "lab_u": numbers(fry.colour.u),
        "lab_shared_u": numbers(fry.colour.shared_u),
    }


def _place(fry: Fry, scale: ColourScale) -> Json:
    place = fry_place(fry, scale)
    if place is None:
        return {"scale_place": None, "scale_place_u": None, "scale_step": None, "off_scale": None}
    return {
        "scale_place": number(place.steps),
        "scale_place_u": number(place.steps_u),
        "scale_step": place.step_name,
        "off_scale": place.off_scale,
    }


def _size(name: str, size: Measured | None) -> Json:
    """The shared part moves all sizes of a plate by one factor."""
    shared_u = None if size is None else number(size.shared_u)
    return {**measured_pair(name, size), f"{name}_shared_u": shared_u}


def _ends(fry: Fry) -> Json:
    """How deep a gap a straight edge laid against each end leaves, the first end first; null where it doesn't show."""
    gaps = fry.end_gaps_mm or (None, None)
    return {
        "end_gaps_mm": [None if gap is None else number(gap.value) for gap in gaps],
        "end_gaps_mm_u": [None if gap is None else number(gap.u) for gap in gaps],
    }


def _mass(fry: Fry) -> Json:
    """Estimated: no photo from above shows a thickness. The shared part moves all fries of a plate alike."""
    if fry.mass_g is None:
        return {"mass_g": None, "mass_g_u": None, "mass_g_shared_u": None}
    return {
        "mass_g": number(fry.mass_g.value),
        "mass_g_u": number(fry.mass_g.u),
        "mass_g_shared_u": number(fry.mass_g.shared_u),
    }


def fry_record(fry: Fry, scale: ColourScale) -> Json:
    """All that was read of a fry; what carries no stated uncertainty stands under `indications`."""
    ends = fry.end_labs
    return {
        "id": fry.number,
        **_size("length_mm", fry.length_mm),
        **_size("straight_mm", fry.straight_mm),
        **_size("width_mm", fry.width_mm),
        **_colour(fry),
        **_place(fry, scale),
        **measured_pair("dark_end_mm", fry.dark_end_mm),
        **measured_pair("bow_share", fry.bow_share),
        **_ends(fry),
        **_mass(fry),
        "whole": fry.whole,
        "flags": flag_names(fry.flags),
        "indications": {
            "bow_mm": number(fry.bow_mm),
            "area_mm2": number(fry.area_mm2),
            "body_lab": numbers(fry.body_lab),
            "end_labs": None if ends is None else [numbers(end) for end in ends],
            "spread_de": number(fry.spread_de),
            "dark_end_dl": number(fry.dark_end_dl),
            "spots_mm": numbers(fry.spots_mm),
            "skin_share": number(fry.skin_share),
        },
    }


def no_fry_record(one: NoFry) -> Json:
    """What lies among the fries and is none: its number, what it looks like, its outline in the photo."""
    return {
        "id": one.fry.number,
        "thing": one.thing.name.lower(),
        "words": one.thing.value,
        "outline_px": [[round(float(v), 1) for v in point] for point in one.fry.outline_px[::8]],
    }
