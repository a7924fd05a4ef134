"""What plates weighed on the portion scale, beside what the fries of their photos come to."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from sqlalchemy import exists, select
from sqlalchemy.orm import aliased

from grader.fries.model import Measured
from grader.fries.plate_mass import mass_of_plate
from grader.records.database.house import House
from grader.records.database.newest import newest
from grader.records.database.pass_tables import PlateCheck
from grader.records.database.plate_tables import Fry, Grading


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A plate on the scale, and its fries in the photo, g."""

    scale_g: float
    photo: Measured


def weighed_plates(house: House, plate_ids: Collection[int]) -> dict[int, Weighed]:
    """Those of the plates that were weighed and of whose fries enough have a mass, by their newest grading."""
    later = aliased(Grading)
    asked = (
        select(Grading.plate_id, PlateCheck.mass_g, Fry.mass_g, Fry.mass_g_u)
        .select_from(Grading)
        .join(PlateCheck, (PlateCheck.plate_id == Grading.plate_id) & newest(PlateCheck))
        .join(Fry, Fry.grading_id == Grading.id)
        .where(Grading.plate_id.in_(plate_ids), PlateCheck.mass_g.is_not(None))
        .where(~exists().where(later.plate_id == Grading.plate_id, later.id > Grading.id))
    )
    scales: dict[int, float] = {}
    fries = defaultdict[int, list[tuple[float | None, float | None]]](list)
    with house.reading() as connection:
        for plate, scale_g, mass_g, mass_u in connection.execute(asked):
            scales[plate] = scale_g or 0.0
            fries[plate].append((mass_g, mass_u))
    told = {plate: np.array(rows, float) for plate, rows in fries.items()}
    photos = {plate: mass_of_plate(rows[:, 0], rows[:, 1]) for plate, rows in told.items()}
    return {plate: Weighed(scale_g=scales[plate], photo=photo) for plate, photo in photos.items() if photo is not None}
