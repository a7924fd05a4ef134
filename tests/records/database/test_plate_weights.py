"""The portion scale beside the fries of the photo, as the records hold both."""

import pytest

from grader.records.database import House
from grader.records.database.plate_checks import PlateFacts, keep_facts
from grader.records.database.plate_weights import weighed_plates
from tests.bars.records import graded_plate, photo_bytes
from tests.records.database.conftest import FRIES, keep


def test_weighed_plates_come_with_what_their_fries_come_to(house: House) -> None:
    first, second = keep(house, 1), keep(house, 2)
    keep_facts(house, first.plate_id, PlateFacts(mass_g=100.0))
    found = weighed_plates(house, [first.plate_id, second.plate_id])
    assert list(found) == [first.plate_id], "the second was not weighed"
    plate = graded_plate(1, photo_bytes(1, 1000), fries=FRIES).plate
    assert plate is not None
    masses = [fry.mass_g.value for fry in plate.fries if fry.mass_g is not None]
    assert len(masses) == FRIES
    assert found[first.plate_id].photo.value == pytest.approx(sum(masses), rel=1e-4)  # rows are rounded
    assert found[first.plate_id].scale_g == 100.0


def test_the_newest_mass_counts(house: House) -> None:
    kept = keep(house, 1)
    keep_facts(house, kept.plate_id, PlateFacts(mass_g=100.0))
    keep_facts(house, kept.plate_id, PlateFacts(mass_g=140.0))
    assert weighed_plates(house, [kept.plate_id])[kept.plate_id].scale_g == 140.0
    assert weighed_plates(house, []) == {}
