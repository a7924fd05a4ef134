"""`python -m grader`: says in plain words what the machine lacks, before anything can end in a traceback."""

import importlib
import sys

from grader.cli import main

MISSING_LIBRARY = (
    "OpenCV can't start: {error}\nA bare Debian or Ubuntu machine needs one package for it: apt-get install -y libgl1\n"
)


def opencv_fault() -> str | None:
    """What keeps OpenCV from being loaded, with the remedy; None where nothing does."""
    try:
        importlib.import_module("cv2")
    except ImportError as error:
        return MISSING_LIBRARY.format(error=error)
    return None


if __name__ == "__main__":
    fault = opencv_fault()
    if fault is not None:
        sys.stderr.write(fault)
        raise SystemExit(2)
    main()
