"""A fault of this program in the log: what kind, where in the code; no names, which logs are kept and sent without.

A message can hold whatever stood in a file or was typed: cooks, suppliers, kitchens, paths of somebody's folders. So no
message is logged, only the kinds of the errors and the places in the code, which say what is needed to mend a fault.
"""

import logging
import traceback
from collections.abc import Iterator
from pathlib import Path

_PROJECT = Path(__file__).parent.parent
_DEEPEST = 12
"""Places of the code told of each error, the innermost; deeper ones say little."""


def log_fault(log: logging.Logger, doing: str, error: BaseException, *, photo: str = "") -> None:
    """Log a fault.

    Parameters
    ----------
    doing
        What was being done, in words of the program's own.
    photo
        The SHA-256 of the photo, by which whoever has it finds it; its name is somebody's.
    """
    of_photo = f" of the photo {photo[:16]}" if photo else ""
    log.error("A fault of this program stopped the %s%s.\n%s", doing, of_photo, "\n".join(_lines(error)))


def _lines(error: BaseException) -> Iterator[str]:
    """Each error of the chain with its places, the one that came through first."""
    told: set[int] = set()
    one: BaseException | None = error
    while one is not None and id(one) not in told:
        told.add(id(one))
        yield f"  {type(one).__module__}.{type(one).__qualname__}"
        for frame in traceback.extract_tb(one.__traceback__)[-_DEEPEST:]:
            yield f"    {_place(Path(frame.filename))}:{frame.lineno} in {frame.name}"
        one = one.__cause__ or one.__context__


def _place(file: Path) -> str:
    """Within the project or the library: where either is installed is somebody's folder."""
    if file.is_relative_to(_PROJECT):
        return file.relative_to(_PROJECT).as_posix()
    return "/".join(file.parts[-2:])
