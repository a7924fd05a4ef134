"""The commands for the records: bring in, grade anew, correct, hand out, back up, examine, forget."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from grader.cli import records_setting as options
from grader.cli.crews import ClusterOption, WorkersOption
from grader.counted import counted

if TYPE_CHECKING:
    from grader.records.database.importing import Imported

_EPILOG = """Exit codes: 0 done; 2 wrong use, or records that can't be used; 4 examined or copied, and something is left
to mend; 5 a file can't be written, or a plate not kept."""

records = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="The records: what was graded, where and of which lot. Nothing in them is overwritten; a correction is added.",
    epilog=_EPILOG,
)

JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")]
WhyOption = Annotated[str, typer.Option(metavar="TEXT", help="Why.")]
ByOption = Annotated[str, typer.Option(metavar="INITIALS", help="Who does this.")]


@records.command("import", epilog=_EPILOG)
def import_(
    photos: Annotated[list[Path], typer.Argument(metavar="PHOTO_OR_FOLDER...", help="As for `grade`.")],
    kitchen: options.KitchenOption,
    zone: options.ZoneOption = "",
    station: options.StationOption = "",
    fryer: options.FryerOption = "",
    shift: options.ShiftOption = "",
    supplier: options.SupplierOption = "",
    lot: options.LotOption = "",
    variety: options.VarietyOption = "",
    storage: options.StorageOption = "",
    received: options.ReceivedOption = "",
    count_size: options.CountSizeOption = "",
    solids: options.SolidsOption = None,
    by: options.ByOption = "",
    standard: Annotated[Path | None, typer.Option(metavar="FILE", help="As for `grade`.")] = None,
    stage: Annotated[Literal["blanched", "finished", "held"], typer.Option(help="As for `grade`.")] = "finished",
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
    workers: WorkersOption = None,
    cluster: ClusterOption = None,
    as_json: JsonOption = False,
) -> None:
    """Grade and keep whole folders. What is kept already is passed over; cut short, run it again and it goes on.

    Example: **python -m grader records import plates/ --kitchen Quayside --zone Europe/Lisbon --shift lunch**
    """
    from functools import partial

    from rich.console import Console

    from grader.cli.crews import crew_asked
    from grader.cli.exits import Exit
    from grader.cli.photos import gather
    from grader.cli.plain_words import plain_words
    from grader.cli.progress import photo_bar
    from grader.evidence.arrivals import Chainer
    from grader.places import home_folder
    from grader.records.database import Setting, open_house
    from grader.records.database.keeping import check_kitchen
    from grader.records.house import kept_studies, known_today
    from grader.records.standards import chosen_standard
    from grader.running.importing import import_folders
    from grader.running.one_photo import Grading
    from grader.standard import at_stage

    with plain_words(as_json=as_json):
        told = options.lot_told(
            supplier,
            lot,
            variety=variety,
            storage=storage,
            received=received,
            count_size=count_size,
            solids=solids,
        )
        setting = Setting(kitchen=kitchen, zone=zone, station=station, fryer=fryer, shift=shift, lot=told, by=by)
        batches, _ = gather(photos, out=home_folder())
        house = open_house(url, photos=photo_store)
        chosen = at_stage(chosen_standard(standard), stage)
        check_kitchen(house, setting)
        done, chainer = [], Chainer.of(house)
        grading = Grading(standard=chosen, known=known_today(), studies=kept_studies())
        here = partial(options.of_batch, setting)
        crew = crew_asked(workers, cluster, photos=sum(len(batch.photos) for batch in batches))
        with photo_bar(Console(stderr=True), batches) as tell, crew:
            for one in import_folders(house, batches, grading=grading, setting_of=here, crew=crew, tell=tell):
                done.append(one)
                if not as_json:
                    _tell_batch(one)
                if unchained := chainer.chain(one.batches):
                    typer.echo(unchained, err=True)
        house.close()
    _sum_up(done, as_json=as_json)
    raise typer.Exit(Exit.NOT_WRITTEN if any(one.problems for one in done) else Exit.DONE)


def _tell_batch(one: "Imported") -> None:
    outcome = f", {one.outcome}" if one.outcome else ""
    withdrawn = f" ({one.withdrawn} withdrawn)" if one.withdrawn else ""
    typer.echo(f"{one.name}: {one.new} new, {one.known} known{withdrawn}{outcome}")
    for note in one.notes:
        typer.echo(f"  {note}")
    for name, words in one.problems:
        typer.echo(f"  {name}: {words}")


def _sum_up(done: "list[Imported]", *, as_json: bool) -> None:
    from dataclasses import asdict

    from grader.records.readings import json_text

    if as_json:
        typer.echo(json_text({"batches": [asdict(one) for one in done]}), nl=False)
        return
    new, known = sum(one.new for one in done), sum(one.known for one in done)
    problems = sum(len(one.problems) for one in done)
    batches, plates = counted(len(done), "batch"), counted(new, "plate")
    typer.echo(f"{batches}: {plates} new, {known} known, {problems} with a problem")


@records.command(epilog=_EPILOG)
def regrade(
    by: ByOption = "",
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
    as_json: JsonOption = False,
) -> None:
    """Grade anew, by this edition's method, what an earlier one graded. What it found then stays beside it.

    Example: **python -m grader records regrade --by AB**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.records_run import grade_as_house
    from grader.records.database import open_kept
    from grader.records.database.regrading import regrade as regrade_all

    with plain_words(as_json=as_json):
        done = []
        for one in regrade_all(open_kept(url, photos=photo_store), grade_by=grade_as_house, by=by):
            done.append(one)
            if not as_json:
                _tell_batch(one)
    _sum_up(done, as_json=as_json)


@records.command(epilog=_EPILOG)
def show(
    what: Annotated[
        str | None,
        typer.Argument(metavar="KIND", help="kitchen, lot, batch, plate, event, ...; else what there is."),
    ] = None,
    thing: Annotated[
        int | None, typer.Argument(max=options.ID_AT_MOST, metavar="ID", help="All that was ever kept of this one.")
    ] = None,
    url: options.RecordsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show what is kept: how much of each kind; all things of a kind, each with its id; or one with its corrections.

    Example: **python -m grader records show lot**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.records_telling import tell_kinds, tell_things, tell_versions
    from grader.records.database import open_kept

    with plain_words(as_json=as_json):
        house = open_kept(url)
        if what is None:
            tell_kinds(house, as_json=as_json)
        elif thing is None:
            tell_things(house, what, as_json=as_json)
        else:
            tell_versions(house, what, thing, as_json=as_json)


@records.command(epilog=_EPILOG)
def correct(
    what: Annotated[str, typer.Argument(metavar="KIND", help="kitchen, fryer, lot, batch, plate, event, ...")],
    thing: Annotated[
        int, typer.Argument(max=options.ID_AT_MOST, metavar="ID", help="Which one; `records show KIND` names them.")
    ],
    by: ByOption,
    why: WhyOption,
    change: Annotated[
        list[str] | None, typer.Option("--set", metavar="FIELD=VALUE", help="What is right; once for each field.")
    ] = None,
    withdraw: Annotated[
        bool,
        typer.Option(
            "--withdraw", help="It isn't so at all: pass over it until it is corrected again, with or without --set."
        ),
    ] = False,
    url: options.RecordsOption = None,
) -> None:
    """Correct what is kept: a new row says it anew, with who and why, and the earlier ones stay.

    Example: **python -m grader records correct lot 3 --set variety=Russet --by AB --why "read the sack"**
    """
    from datetime import datetime

    from grader.cli.plain_words import plain_words
    from grader.errors import GraderError
    from grader.records.database import open_kept
    from grader.records.database.correcting import correct as add_correction
    from grader.records.database.correcting import versions_of
    from grader.records.kept_files import Signed

    with plain_words():
        unreadable = [one for one in change or () if "=" not in one]
        if unreadable:
            raise GraderError(f"{unreadable[0]} is no FIELD=VALUE.", hint='Write --set "variety=Russet".')
        changes = dict(one.split("=", 1) for one in change or ())
        signed = Signed(by=by, at=datetime.now().astimezone(), why=why)
        house = open_kept(url)
        add_correction(house, what, thing, changes, signed=signed, withdraw=withdraw)
        before = versions_of(house, what, thing)[-2]
    done = "withdrawn" if withdraw else "withdrawn, and is taken up again" if before.withdrawn else "corrected"
    typer.echo(f"{what} {thing} was {done}; what was kept before stays.")


@records.command(epilog=_EPILOG)
def event(
    kind: Annotated[
        Literal["new lot", "new crop", "oil changed", "fryer serviced", "other"], typer.Argument(help="What happened.")
    ],
    kitchen: options.KitchenOption,
    at: Annotated[str, typer.Option(metavar="TIME", help="By the kitchen's clock: 2026-10-06T09:30.")],
    words: Annotated[str, typer.Option(metavar="TEXT", help="In words.")] = "",
    fryer: options.FryerOption = "",
    supplier: options.SupplierOption = "",
    lot: options.LotOption = "",
    by: options.ByOption = "",
    url: options.RecordsOption = None,
) -> None:
    """Keep an event after which fries may differ, so that charts show it.

    Example: **python -m grader records event "oil changed" --kitchen Quayside --at 2026-10-06T09:30 --fryer 2**
    """
    from grader.cli.plain_words import plain_words
    from grader.consistency.model import EventKind
    from grader.records.database import Setting, open_kept
    from grader.records.database.watching import clock_of, keep_event

    with plain_words():
        told = options.lot_told(supplier, lot)
        setting = Setting(kitchen=kitchen, fryer=fryer, lot=told, by=by)
        house = open_kept(url)
        number = keep_event(house, setting, EventKind(kind), at=clock_of(house, kitchen, at), words=words)
    typer.echo(f"Kept as event {number}.")


@records.command(epilog=_EPILOG)
def export(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the files.")],
    as_: Annotated[Literal["csv", "parquet", "json"], typer.Option("--as", help="Which kind of file.")] = "csv",
    url: options.RecordsOption = None,
) -> None:
    """Write plates, fries, decisions and events as tables for other programs.

    Example: **python -m grader records export --out tables/ --as parquet**
    """
    from grader.cli.plain_words import plain_words
    from grader.records.database import open_kept
    from grader.records.database.exporting import Kind
    from grader.records.database.exporting import export as write_tables

    with plain_words():
        written = write_tables(open_kept(url), out, Kind(as_))
    for one in written:
        typer.echo(f"{one.file}: {counted(one.rows, 'row')}")


@records.command(epilog=_EPILOG)
def backup(
    out: Annotated[Path, typer.Option(metavar="DIR", help="A new folder.")],
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
) -> None:
    """Copy the records, photos with them, while they are in use.

    Example: **python -m grader records backup --out backups/2026-10-06**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.records_telling import tell_copied
    from grader.records.database import open_kept
    from grader.records.database.backing_up import back_up

    with plain_words():
        made = back_up(open_kept(url, photos=photo_store), out)
    raise typer.Exit(tell_copied(out, made))


@records.command(epilog=_EPILOG)
def restore(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="What `records backup` wrote.")],
    into: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the records are made; else in your own data.")
    ] = None,
) -> None:
    """Make records of a backup, where there are none; every photo and the database are held against their hashes.

    Example: **python -m grader records restore backups/2026-10-06**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.records_telling import tell_copied
    from grader.records.database.backing_up import restore as make_records
    from grader.records.database.house import FILE, default_folder, file_url, open_house

    target = into or default_folder()
    with plain_words():
        made = make_records(folder, target)
        open_house(file_url(target / FILE)).close()
    raise typer.Exit(tell_copied(target, made))


@records.command(epilog=_EPILOG)
def doctor(
    mend: Annotated[bool, typer.Option("--mend", help="Mend what can be mended without guessing.")] = False,
    photos_from: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where lost or damaged photos are looked for, by their hash.")
    ] = None,
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
    as_json: JsonOption = False,
) -> None:
    """Examine database, rows and every photo's hash; with --mend, mend what can be mended, and tell the rest.

    Example: **python -m grader records doctor --mend --photos-from camera/**
    """
    from dataclasses import asdict

    from grader.cli.exits import Exit
    from grader.cli.plain_words import plain_words
    from grader.records.database import open_kept
    from grader.records.database.doctor import examine
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        house = open_kept(url, photos=photo_store)
        found = list(examine(house, mend=mend, photos_from=photos_from))
    left = [one for one in found if not one.mended]
    if as_json:
        typer.echo(json_text({"found": [asdict(one) for one in found], "left": len(left)}), nl=False)
    else:
        for one in found:
            typer.echo(f"{one.about}: {one.words} {'Mended.' if one.mended else one.remedy}")
        typer.echo(f"{house.place}: {len(found)} found, {len(found) - len(left)} mended, {len(left)} left.")
    raise typer.Exit(Exit.UNDECIDED if left else Exit.DONE)


@records.command("forget-photos", epilog=_EPILOG)
def forget_photos(
    before: Annotated[str, typer.Option(metavar="DAY", help="Photos taken before this day (UTC), as 2025-10-01.")],
    by: ByOption,
    why: WhyOption,
    rehearse: Annotated[bool, typer.Option("--rehearse", help="Only tell what would be deleted.")] = False,
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
) -> None:
    """Delete the bytes of old photos, but for those of lots and batches in a claim or a sealed file.

    What was read from them stays.

    Example: **python -m grader records forget-photos --before 2025-10-01 --by AB --why "kept for a year" --rehearse**
    """
    from datetime import UTC, datetime

    from grader.cli.plain_words import plain_words
    from grader.errors import GraderError
    from grader.evidence.arrivals import sealed_photos
    from grader.evidence.journal import house_journal
    from grader.records.database import open_kept
    from grader.records.database.forgetting import forget_photos as forget
    from grader.records.kept_files import Signed

    with plain_words():
        try:
            day = datetime.combine(date.fromisoformat(before), datetime.min.time(), UTC)
        except ValueError as error:
            raise GraderError(f'"{before}" is no day.', hint="Write it as 2025-10-01.") from error
        signed = Signed(by=by, at=datetime.now(UTC), why=why)
        house, sealed = open_kept(url, photos=photo_store), sealed_photos(house_journal())
        done = forget(house, before=day, signed=signed, sealed=sealed, rehearse=rehearse)
    verb = "would be deleted" if rehearse else "deleted"
    typer.echo(
        f"{done.photos} photos {verb} ({done.bytes / 1e6:.1f} MB); {done.spared} spared, because they are in a claim "
        "or a sealed file."
    )
