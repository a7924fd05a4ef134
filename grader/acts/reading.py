"""The records read: batches, shifts, everything to take along."""

from grader.records.database.batch_plates import lots as _lots
from grader.records.database.batch_plates import plates_of_batch as _plates_of_batch
from grader.records.database.exporting import export as _export
from grader.records.database.reading import batches_page as _batches_page
from grader.records.kept_plates import kept_plates as _kept_plates
from grader.records.shift_sources import from_house as _from_house
from grader.roles.model import Duty, behind

batches_page = behind(Duty.READ, _batches_page)
plates_of_batch = behind(Duty.READ, _plates_of_batch)
lots = behind(Duty.READ, _lots)
export = behind(Duty.READ, _export)
kept_plates = behind(Duty.READ, _kept_plates)
from_house = behind(Duty.READ, _from_house)
