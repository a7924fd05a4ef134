"""The values of print runs on disk: one file a measurement, never overwritten, so that nothing is lost.

A file's name tells print run, sheet, day and turn on that day: K7Q2X.card-a6.2026-11-20.01.toml.
"""

import errno
from collections.abc import Sequence
from pathlib import Path

from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values.document import CHARACTERS_AT_MOST, read_values, write_values
from grader.card_values.model import CardValues
from grader.errors import DocumentFaulty, Fault
from grader.new_files import write_new
from grader.places import home_folder

FOLDER = "card-values"
_OF_ONE_DAY_AT_MOST = 99
_HINT = "Correct the file, or take it away and import the readings again."


def values_folder() -> Path:
    """Where the values are kept on this machine."""
    return home_folder() / FOLDER


def load_values(folder: Path, layouts: Sequence[Layout]) -> tuple[CardValues, ...]:
    """All values in a folder, by print run, sheet and day; none where there is no such folder.

    Raises
    ------
    DocumentFaulty
        With every fault of the first file that has any: values left out in silence would change results.
    OSError
        A file can't be read.
    """
    paths = sorted(folder.glob("*.toml"))
    return tuple(read_values(_text(path), name=str(path), layouts=layouts) for path in paths)


def keep_values(folder: Path, values: CardValues) -> Path:
    """Write values into a folder, which is made where it isn't there, as a file of their own; gives its path.

    Raises
    ------
    DocumentFaulty
        They are no values that could be read again.
    OSError
        They can't be written; no half file is left behind.
    """
    text = write_values(values)
    read_values(text, name="What is to be kept", layouts=load_layouts())
    folder.mkdir(parents=True, exist_ok=True)
    for turn in range(1, _OF_ONE_DAY_AT_MOST + 1):
        path = folder / f"{values.run}.{values.layout}.{values.measured_on.isoformat()}.{turn:02}.toml"
        if not path.exists():
            write_new(path, text)
            return path
    raise FileExistsError(errno.EEXIST, "There are too many measurements of that day", str(path))


def _text(path: Path) -> str:
    with path.open("rb") as file:
        data = file.read(4 * CHARACTERS_AT_MOST)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        fault = Fault(line=None, field="the file", message=f"is not UTF-8 text: {error.reason}")
        raise DocumentFaulty(str(path), (fault,), hint=_HINT) from error
