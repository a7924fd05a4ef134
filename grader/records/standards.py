"""Which house standard is meant: a file, one that ships, or one that the house keeps."""

from pathlib import Path

from grader.errors import DocumentFaulty, Fault, GraderError
from grader.records.kept_standards import check_not_edited, kept_keys, load_kept, standards_folder
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
    """The standard in `file`, or else the shipped or kept one of that name; without any, the shipped 9.5 mm one.

    Of a kept one it is the newest version, or with @ and a number behind its name (`house@2`) that one.

    Raises
    ------
    DocumentFaulty
        All faults of the file at once; or what was kept was changed since.
    GraderError
        The file can't be read, or has the name and version of a kept standard and other values.
    """
    shipped = load_shipped()
    if file is None:
        return shipped[DEFAULT_STANDARD]
    if not file.exists():
        if str(file) in shipped:
            return shipped[str(file)]
        kept = _kept(str(file))
        if kept is not None:
            return kept
    standard = standard_from_file(file)
    check_not_edited(standards_folder(), standard)
    return standard


def standard_from_file(file: Path) -> Standard:
    """The standard in a file, whatever is kept.

    Raises
    ------
    DocumentFaulty
        All faults of the file at once.
    GraderError
        The file can't be read.
    """
    try:
        data = file.read_bytes()
    except OSError as error:
        keys = ", ".join([*load_shipped(), *kept_keys(standards_folder())])
        hint = f"Check the path, or use one that ships or is kept: {keys}."
        raise GraderError(f"{file} can't be read: {error.strerror}.", hint=hint) from error
    return standard_from_bytes(data, name=file.name)


def _kept(name: str) -> Standard | None:
    """The version that is meant, None where nothing of that name is kept."""
    key, at, turn = name.partition("@")
    if key not in kept_keys(standards_folder()):
        return None
    versions = load_kept(standards_folder(), key)
    if not at:
        return versions[-1].standard
    found = next((kept for kept in versions if str(kept.turn) == turn), None)
    if found is None:
        hint = f"It has {key}@1 to {key}@{len(versions)}; see: python -m grader standard history {key}"
        raise GraderError(f"The kept standard {key} has no {name}.", hint=hint)
    return found.standard
