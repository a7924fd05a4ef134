"""`python -m tests.fuzz --minutes 30`: hostile input for every door, and a table of what became of it."""

import argparse
import sys
from pathlib import Path

from tests.fuzz.running import fuzz, table
from tests.fuzz.targets import TARGETS


def main() -> int:
    """Fuzz; 1 where anything was read badly."""
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    asked.add_argument("--minutes", type=float, default=1.0, help="for all doors together")
    asked.add_argument("--count", type=int, help="in place of a time: so many inputs at a door, times its share")
    asked.add_argument("--door", action="append", default=[], help="only doors whose name holds this")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--bad", type=Path, default=Path("fuzz-bad"), help="where badly read inputs are kept")
    told = asked.parse_args()
    doors = [one for one in TARGETS if not told.door or any(part in one.name for part in told.door)]
    seconds = None if told.count is not None else told.minutes * 60
    rows = []
    for row in fuzz(doors, seed=told.seed, count=told.count, seconds=seconds, bad=told.bad):
        rows.append(row)
        print(
            f"{row.name}: {row.inputs} inputs",
            *(f"\n  {words}\n    {file}" for words, file in row.bad.items()),
            flush=True,
        )
    print(f"\n{table(rows)}")
    return 1 if any(row.bad for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main())
