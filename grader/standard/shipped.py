"""The standards that ship with the program, both of an invented house."""

from grader.places import calibration_folder
from grader.standard.model import Standard
from grader.standard.reading import read_standard


def load_shipped() -> dict[str, Standard]:
    """The standards in calibration/standards by the name of their file, in alphabetical order.

    Raises
    ------
    DocumentFaulty
        One of the files was damaged.
    """
    files = sorted((calibration_folder() / "standards").glob("*.toml"))
    return {file.stem: read_standard(file.read_text(encoding="utf-8"), name=file.name) for file in files}
