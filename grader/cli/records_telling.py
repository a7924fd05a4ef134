"""What is kept, told on the command line: how much of each kind, all of one, one with its corrections; a copy."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typer

from grader.cli.exits import Exit
from grader.counted import counted
from grader.errors import GraderError
from grader.printable import printable
from grader.records.database.backing_up import Backup
from grader.records.database.correcting import listed, versions_of
from grader.records.database.house import House
from grader.records.database.tables import correctable_tables
from grader.records.readings import json_text


def tell_kinds(house: House, *, as_json: bool) -> None:
    """How much of each kind there is, and where the records are."""
    counts = {what: len(listed(house, what)) for what in correctable_tables()}
    if as_json:
        typer.echo(json_text({"records": house.place, "photos": house.photos.place, "kept": counts}), nl=False)
        return
    typer.echo(f"Records: {house.place}\nPhotos: {house.photos.place}")
    for what, count in counts.items():
        typer.echo(f"  {what:14} {count}")


def tell_things(house: House, what: str, *, as_json: bool) -> None:
    """Every thing of a kind, with its id."""
    _check_kind(what)
    rows = listed(house, what)
    if as_json:
        typer.echo(json_text({what: [_plain(row) for row in rows]}), nl=False)
        return
    for row in rows:
        typer.echo(_line(row))
    typer.echo(f"{len(rows)} of the kind {what}")


def tell_versions(house: House, what: str, thing: int, *, as_json: bool) -> None:
    """All that was ever kept of one thing."""
    _check_kind(what)
    versions = versions_of(house, what, thing)
    if not versions:
        raise GraderError(f"There is no {what} {thing}.", hint=f"See: python -m grader records show {what}")
    if as_json:
        told = [
            {**_plain(one.values), "by": one.by, "at": one.at.isoformat(), "why": one.why, "withdrawn": one.withdrawn}
            for one in versions
        ]
        typer.echo(json_text({what: thing, "versions": told}), nl=False)
        return
    for one in versions:
        why = f": {one.why}" if one.why else ""
        gone = ", withdrawn" if one.withdrawn else ""
        typer.echo(f"{one.at:%Y-%m-%d %H:%M} UTC, by {one.by or 'nobody named'}{gone}{why}\n  {_line(one.values)}")


def _check_kind(what: str) -> None:
    if what not in correctable_tables():
        raise GraderError(f'There is no kind "{what}".', hint=f"Kinds: {', '.join(correctable_tables())}.")


def _line(row: Mapping[str, Any]) -> str:
    told = (f"{name} {value}" for name, value in _plain(row).items() if value not in {None, ""})
    return printable(", ".join(told))


def _plain(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value if isinstance(value, int | float | str | None) else str(value) for name, value in row.items()}


def tell_copied(place: Path, made: Backup) -> Exit:
    """What a backup or the records made of one hold, and what they lack, which the exit code says too."""
    typer.echo(f"{place}: {counted(made.plates, 'plate')}, {counted(made.photos, 'photo')} as of {made.made_at}.")
    if made.missing:
        typer.echo(
            f"Without {counted(len(made.missing), 'photo')} that the store had lost, or damaged, by then: "
            "python -m grader records doctor names them, and with --mend --photos-from DIR puts them back."
        )
    return Exit.UNDECIDED if made.missing else Exit.DONE
