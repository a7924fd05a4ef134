"""Errors told in plain words, with the exit code that belongs to them; no traceback for what is not a fault of ours."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NoReturn

import typer

from grader.cli.exits import Exit
from grader.errors import GraderError


@contextmanager
def plain_words(*, as_json: bool = False) -> Iterator[None]:
    """Turn this project's errors, and a disk that refuses, into words and an exit code."""
    try:
        yield
    except GraderError as error:
        _stop(error.message, error.hint, code=Exit.FAULTY_INPUT, as_json=as_json)
    except OSError as error:
        what = f"{error.filename or 'A file'}: {error.strerror or error}."
        hint = "Check the path, your rights to it and the space left."
        _stop(what, hint, code=Exit.NOT_WRITTEN, as_json=as_json)


def _stop(message: str, hint: str, *, code: Exit, as_json: bool) -> NoReturn:
    if as_json:
        typer.echo(json.dumps({"error": {"message": message.rstrip(), "hint": hint}}, ensure_ascii=False))
    typer.echo(f"{message.rstrip()}\n{hint}", err=True)
    raise typer.Exit(code)
