"""The commands for the house's own standards: kept, succeeded, never edited, each with who, when and why."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

_EPILOG = "Exit codes: 0 done; 2 wrong use, a faulty standard, or a kept one that was changed since; 5 not kept."

standard_kept = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="The house's own standards. One that is kept is never edited, only succeeded by its next version.",
    epilog=_EPILOG,
)

KeyArgument = Annotated[str, typer.Argument(metavar="KEY", help="What the house calls it; `standard list` names them.")]
FileArgument = Annotated[Path, typer.Argument(metavar="FILE", help="A house standard, a TOML file.")]
ByOption = Annotated[str, typer.Option(metavar="INITIALS", help="Who keeps it.")]
WhyOption = Annotated[str, typer.Option(metavar="TEXT", help="Why.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")]


@standard_kept.command("list", epilog=_EPILOG)
def list_kept(as_json: JsonOption = False) -> None:
    """List the standards that are kept, each with its newest version; one that was changed since is told.

    Example: **python -m grader standard list**
    """
    from grader.cli.plain_words import plain_words
    from grader.records.kept_standards import KeptChanged, kept_keys, load_kept, standards_folder
    from grader.records.kept_words import kept_line, kept_record
    from grader.records.readings import json_text

    folder = standards_folder()
    newest, changed = [], []
    with plain_words(as_json=as_json):
        for key in kept_keys(folder):
            try:
                newest.append(load_kept(folder, key)[-1])
            except KeptChanged as error:
                changed.append(error)
    if as_json:
        told = [{"name": one.name, "faults": [str(fault) for fault in one.faults]} for one in changed]
        typer.echo(json_text({"kept": [kept_record(one) for one in newest], "changed": told}), nl=False)
        return
    for one in newest:
        typer.echo(kept_line(one))
    for one_changed in changed:
        typer.echo(f"{one_changed.message.rstrip()}\n{one_changed.hint}")
    if not newest and not changed:
        typer.echo("No standard is kept yet. See: python -m grader standard keep --help")
    typer.echo(f"Standards are kept in {folder}")


@standard_kept.command(epilog=_EPILOG)
def show(
    standard: Annotated[
        Path, typer.Argument(metavar="KEY_OR_FILE", help="KEY for its newest version, KEY@2 for its second; or a file.")
    ],
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write it as a TOML file too; one that is there stays.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Show what a standard says; with --out, as a file to read through, or to change for the version that succeeds it.

    Example: **python -m grader standard show house --out house.toml**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.telling import standard_lines
    from grader.new_files import write_new
    from grader.records.readings import json_text, standard_record
    from grader.records.standards import chosen_standard
    from grader.standard import standard_content, write_standard

    with plain_words(as_json=as_json):
        chosen = chosen_standard(standard)
        if out is not None:
            write_new(out, write_standard(chosen))
    if as_json:
        typer.echo(json_text({**standard_record(chosen), "says": standard_content(chosen)}), nl=False)
        return
    typer.echo("\n".join(standard_lines(chosen)))
    if out is not None:
        typer.echo(f"Written to {out}.")


@standard_kept.command(epilog=_EPILOG)
def keep(
    file: FileArgument,
    by: ByOption,
    why: WhyOption,
    key: Annotated[str | None, typer.Option("--as", metavar="KEY", help="Else the file's name.")] = None,
) -> None:
    """Keep a standard's first version. From then on `--standard KEY` judges by it, and what it judged is recorded.

    Example: **python -m grader standard keep house.toml --by AB --why "agreed with the kitchens"**
    """
    _keep(key or file.stem.lower(), file, by=by, why=why, version=None, succeeds=False)


@standard_kept.command(epilog=_EPILOG)
def succeed(
    key: KeyArgument,
    file: FileArgument,
    by: ByOption,
    why: WhyOption,
    version: Annotated[
        str | None, typer.Option(metavar="WORDS", help="What the version is called. Else as in the file.")
    ] = None,
) -> None:
    """Let a new version succeed a kept standard; says field by field what changes. Earlier ones stay as they are.

    Example: **python -m grader standard succeed house changed.toml --by AB --why "too many pale plates passed"**
    """
    _keep(key, file, by=by, why=why, version=version, succeeds=True)


def _keep(key: str, file: Path, *, by: str, why: str, version: str | None, succeeds: bool) -> None:
    from dataclasses import replace

    from grader.cli.plain_words import plain_words
    from grader.records.kept_files import Signed
    from grader.records.kept_standards import keep_standard, load_kept, standards_folder
    from grader.records.kept_words import change_lines, kept_line
    from grader.records.standards import standard_from_file

    folder = standards_folder()
    with plain_words():
        standard = standard_from_file(file)
        if version is not None:
            standard = replace(standard, version=version)
        signed = Signed(by=by, at=datetime.now().astimezone(), why=why)
        kept = keep_standard(folder, key, standard, signed, succeeds=succeeds)
        versions = load_kept(folder, key)
    typer.echo(kept_line(kept))
    typer.echo("\n".join(change_lines(versions)[kept.turn - 1]))
    typer.echo(f"Judge by it with --standard {key}. It is kept in {folder / key}; never edit it there.")


@standard_kept.command(epilog=_EPILOG)
def history(key: KeyArgument, as_json: JsonOption = False) -> None:
    """Tell each version of a kept standard: who kept it, when and why, what changed, how many plates it judged.

    Example: **python -m grader standard history house**
    """
    from grader.cli.plain_words import plain_words
    from grader.errors import GraderError
    from grader.records.kept_standards import kept_keys, load_kept, standards_folder
    from grader.records.kept_words import history_lines, history_record
    from grader.records.readings import json_text

    folder = standards_folder()
    with plain_words(as_json=as_json):
        versions = load_kept(folder, key)
        if not versions:
            there = ", ".join(kept_keys(folder)) or "none yet"
            raise GraderError(f"No standard is kept as {key}.", hint=f"Kept are: {there}.")
    if as_json:
        typer.echo(json_text({"key": key, "versions": history_record(folder, versions)}), nl=False)
    else:
        typer.echo("\n".join(history_lines(folder, versions)))
