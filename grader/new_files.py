"""Files that are written once and never again: what is there already stays as it is."""

from pathlib import Path


def write_new(path: Path, text: str) -> None:
    """Write a file that must not be there yet, even if another process makes one in this very moment.

    Raises
    ------
    OSError
        It is there, or can't be written; no half file is left behind.
    """
    with path.open("x", encoding="utf-8", newline="\n") as file:
        try:
            file.write(text)
            file.flush()
        except BaseException:
            path.unlink()
            raise
