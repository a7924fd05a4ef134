"""Score a folder of graded photos against their truth: `python -m tests.scoring TRUTH_DIR RESULT_DIR`.

What is required, matched and compared stands beside each constant in readings.py, matching.py and figures.py.
"""

import argparse
from pathlib import Path

from grader.places import sample_folder
from tests.scoring.plates import score_folder
from tests.scoring.report import report


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.scoring", description=__doc__)
    parser.add_argument("truth", type=Path, help=f"folder with truth, for instance {sample_folder().name}/")
    parser.add_argument("results", type=Path, help="folder with graded photos")
    chosen = parser.parse_args()
    print(report(score_folder(chosen.truth, chosen.results)))


if __name__ == "__main__":
    main()
