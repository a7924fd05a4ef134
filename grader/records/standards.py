"""Which house standard is meant: one that ships, or a file of one's own."""

from pathlib import Path

from grader.errors import DocumentFaulty, Fault, GraderError
from grader.standard import load_shipped, read_standard
from grader.standard.model import Standard

DEFAULT_STANDARD = "strips-9.5mm-skin-on"


def standard_from_bytes(data: bytes, *, name: str) -> Standard:
    """The standard in the bytes of a TOML file.

    Raises
    ------
    DocumentFaulty
        All faults of the file at once.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        fault = Fault(line=line, field="the file", message="is no UTF-8 text")
        raise DocumentFaulty(name, (fault,), hint="Save it as UTF-8 text and read it again.") from error
    return read_standard(text, name=name)


def chosen_standard(file: Path | None) -> Standard:
    """The standard in `file`, or the shipped one of that name; without any, the shipped 9.5 mm one.

    Raises
    ------
    DocumentFaulty
        All faults of the file at once.
    GraderError
        The file can't be read.
    """
    shipped = load_shipped()
    if file is None:
        return shipped[DEFAULT_STANDARD]
    if not file.exists() and str(file) in shipped:
        return shipped[str(file)]
    try:
        data = file.read_bytes()
    except OSError as error:
        hint = f"Check the path, or use one that ships: {', '.join(shipped)}."
        raise GraderError(f"{file} can't be read: {error.strerror}.", hint=hint) from error
    return standard_from_bytes(data, name=file.name)
