"""The records: what was graded, where and of which lot, kept for years in SQLite or PostgreSQL, photos beside it.

Nothing is overwritten: a correction is a new row, and readers see the newest.
"""

from grader.records.database.errors import RecordsRefused, RecordsUnusable
from grader.records.database.house import House, open_house, open_kept
from grader.records.database.keeping import Kept, keep_decision, keep_graded, know_kitchen
from grader.records.database.setting import LotFacts, Setting

__all__ = [
    "House",
    "Kept",
    "LotFacts",
    "RecordsRefused",
    "RecordsUnusable",
    "Setting",
    "keep_decision",
    "keep_graded",
    "know_kitchen",
    "open_house",
    "open_kept",
]
