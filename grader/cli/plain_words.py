"""Errors told in plain words, with the exit code that belongs to them; no traceback for what is not a fault of ours."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn

import typer

from grader.cli.exits import Exit
from grader.disk_errors import disk_refuses
from grader.errors import GraderError
from grader.printable import printable


@contextmanager
def plain_words(*, as_json: bool = False) -> Iterator[None]:
    """Turn this project's errors, and a disk that refuses, into words and an exit code."""
    try:
        yield
    except GraderError as error:
        _stop(error.message, error.hint, code=Exit.FAULTY_INPUT, as_json=as_json)
    except OSError as error:
        what, hint, code = _of_the_disk(error)
        _stop(what, hint, code=code, as_json=as_json)


def _of_the_disk(error: OSError) -> tuple[str, str, Exit]:
    """What went wrong, what to do about it, and the exit code."""
    name = error.filename or "A file"
    match error:
        case FileNotFoundError() if error.filename and Path(error.filename).parent.is_dir():  # it was to be read
            return f"There is no {name}.", "Check how it is spelled.", Exit.FAULTY_INPUT
        case FileNotFoundError():
            hint = "Check how its folder is spelled; for a new file, make the folder first."
            return f"There is no folder for {name}.", hint, Exit.NOT_WRITTEN
        case IsADirectoryError() if error.filename2 is None:
            return f"{name} is a folder, not a file.", "Name the file.", Exit.FAULTY_INPUT
        case FileExistsError():
            hint = "Nothing is written over it: give another name, or move it away."
            return f"{name}: {error.strerror}.", hint, Exit.NOT_WRITTEN
    told = disk_refuses(error)
    return told.message, told.hint, Exit.NOT_WRITTEN


def _stop(message: str, hint: str, *, code: Exit, as_json: bool) -> NoReturn:
    if as_json:
        typer.echo(json.dumps({"error": {"message": message.rstrip(), "hint": hint}}, ensure_ascii=False))
    for line in f"{message.rstrip()}\n{hint}".split("\n"):
        typer.echo(printable(line), err=True)
    raise typer.Exit(code)
