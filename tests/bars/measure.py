"""Grade every photo of a folder with truth, score it, print every figure and every bar.

`python -m tests.bars.measure [TRUTH_FOLDER] [--keep DIR]`: the sample pictures unless another folder is named; the
graded photos are thrown away unless `--keep` says where they shall stay. Exit code 1 where a bar is missed.
"""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from grader.places import sample_folder
from tests.bars.colour import colour_reached
from tests.bars.fries import sizes_reached
from tests.bars.grading import grade_and_score
from tests.bars.main_job import all_reached, line
from tests.bars.splitting import found_reached
from tests.scoring.report import report


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bars.measure", description=__doc__)
    parser.add_argument("truth", type=Path, nargs="?", default=sample_folder())
    parser.add_argument("--keep", type=Path, metavar="DIR", help="keep the graded photos in this folder")
    chosen = parser.parse_args()
    with TemporaryDirectory() as place:
        graded = grade_and_score(chosen.truth, chosen.keep or Path(place) / "graded")
    print(report(graded.scores))
    found, sizes = found_reached(graded.scores), sizes_reached(graded.scores)
    reached = [*all_reached(graded), *colour_reached(graded.scores), *found, *sizes]
    print("", *map(line, reached), sep="\n")
    return 0 if all(one.met for one in reached) else 1


if __name__ == "__main__":
    sys.exit(main())
