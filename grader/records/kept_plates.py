"""Plates that the records keep, as comparisons want them: what stands on one row a plate, so fries needn't be read."""

from datetime import datetime

from grader.consistency.model import PlateSummary
from grader.consistency.quantities import QuantityKey
from grader.records.database.house import House
from grader.records.database.reading import Wanted, chart_plates
from grader.records.plate_readings import ABOUT_COLUMNS, PlateMean, PlateReadings
from grader.records.readings import standard_record
from grader.standard.model import Standard

RECORDS = "records"
"""What stands for the run of plates that come from no folder."""
PLATES_AT_MOST = 5000
_OUTSIDE = "out_of_target"


def kept_plates(
    house: House,
    *,
    standard: Standard,
    kitchen: str = "",
    since: datetime | None = None,
    until: datetime | None = None,
) -> tuple[PlateReadings, ...]:
    """Plates by a standard's values at its stage, by their newest grading; of many the latest 5000.

    Rows hold places and lengths; L*, a* and b* are read of runs only.
    """
    wanted = Wanted(kitchen=kitchen, since=since, until=until)
    sha256 = standard_record(standard)["sha256"]
    found = chart_plates(house, wanted, standard_sha256=sha256, stage=standard.stage, at_most=PLATES_AT_MOST)
    return tuple(_readings(plate) for plate in found)


def _readings(plate: PlateSummary) -> PlateReadings:
    outside = plate.shares.get(_OUTSIDE)
    about = {column: getattr(plate, column) for column in ABOUT_COLUMNS}
    return PlateReadings(
        sha256=plate.plate,
        photo=f"plate {plate.plate}",
        run=RECORDS,
        batch=plate.batch,
        taken_at=plate.taken_at,
        about={column: words for column, words in about.items() if words},
        means=_means(plate),
        outside=None if outside is None else outside.k,
        shares=plate.shares,
    )


def _means(plate: PlateSummary) -> dict[QuantityKey, PlateMean]:
    """What fries share of the doubt of a length isn't on the row: it takes no part where plates are compared."""
    means: dict[QuantityKey, PlateMean] = {}
    if plate.place_mean is not None:
        shared_u = plate.place_shared_u or 0.0
        means["place"] = PlateMean(
            mean=plate.place_mean, sd=plate.place_sd, fries=plate.coloured, shared_u=shared_u, measured_u=shared_u
        )
    if plate.length_mean_mm is not None:
        means["length"] = PlateMean(
            mean=plate.length_mean_mm, sd=plate.length_sd_mm, fries=plate.measured, shared_u=0.0, measured_u=0.0
        )
    return means
