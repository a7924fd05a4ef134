"""How records grow: `python -m tests.bars.growth FOLDER [PLATES...]` fills databases, asks them, and prints the table.

PostgreSQL is that of FRY_GRADER_TEST_POSTGRES; without one only SQLite is filled.
"""

import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from grader.records.database import open_house
from tests.bars.databases import POSTGRES_VARIABLE, Kind, new_database
from tests.bars.record_questions import ask_all, fill_house
from tests.bars.records import Asked, size_mb

SIZES = (1_000, 10_000, 100_000)


def grow(folder: Path, sizes: tuple[int, ...]) -> Iterator[str]:
    """The table's lines, as they are found."""
    kinds: tuple[Kind, ...] = ("sqlite", "postgresql") if os.environ.get(POSTGRES_VARIABLE) else ("sqlite",)
    for kind in kinds:
        for plates in sizes:
            here = folder / f"{kind}-{plates}"
            here.mkdir(parents=True)
            with new_database(kind, here) as url:
                house = open_house(url, photos=str(here / "photos"))
                start = time.monotonic()
                filled = fill_house(house, plates=plates)
                filled_s = time.monotonic() - start
                with house.reading() as connection:
                    size = size_mb(connection)
                asked = ask_all(house, filled)
                house.close()
            if plates == sizes[0]:
                yield _line(["database", "plates", "fries", "MB", "filled in s", *(one.name for one in asked)])
                yield _line(["---"] * (5 + len(asked)))
            told = [kind, f"{filled.plates}", f"{filled.fries}", f"{size:.0f}", f"{filled_s:.0f}"]
            yield _line([*told, *map(_times, asked)])


def _times(asked: Asked) -> str:
    return f"{asked.median_ms:.0f} / {asked.high_ms:.0f}"


def _line(cells: list[str]) -> str:
    return f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    for row in grow(Path(sys.argv[1]), tuple(map(int, sys.argv[2:])) or SIZES):
        print(row, flush=True)
