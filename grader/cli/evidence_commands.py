"""The commands for a dispute: keys, what is sealed before plates, one sealed file, and checking it as a stranger."""

from pathlib import Path
from typing import Annotated, Literal

import typer

from grader.cli import records_setting as options

_EPILOG = """Exit codes: 0 done, and what was checked holds; 1 a file that was checked does not hold; 2 wrong use, or
something can't be used; 5 a file can't be written."""
PASSPHRASE_VARIABLE = "FRY_GRADER_PASSPHRASE"  # noqa: S105 - the name of a variable

evidence = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="Evidence for a dispute: one sealed file that the other side can check without trusting you.",
    epilog=_EPILOG,
)
keys = typer.Typer(no_args_is_help=True, rich_markup_mode="markdown", help="Signing keys.", epilog=_EPILOG)
evidence.add_typer(keys, name="keys")

ByOption = Annotated[str, typer.Option(metavar="INITIALS", help="Who does this.")]
SupplierOption = Annotated[str, typer.Option(metavar="NAME", help="Whose lot it is.")]
LotOption = Annotated[str, typer.Option(metavar="NUMBER", help="The lot, as its supplier numbers it.")]
PassphraseOption = Annotated[
    str,
    typer.Option(
        envvar=PASSPHRASE_VARIABLE,
        prompt="Passphrase of the signing key",
        hide_input=True,
        help=f"Of the signing key; asked for, or taken from {PASSPHRASE_VARIABLE}.",
    ),
]
WhyOption = Annotated[str, typer.Option(metavar="TEXT", help="Why.")]


@keys.command("make", epilog=_EPILOG)
def make_key(by: ByOption, passphrase: PassphraseOption) -> None:
    """Make the first signing key. Hand its fingerprint to the other side on paper, before there is a dispute.

    Example: **python -m grader evidence keys make --by AB**
    """
    from grader.cli.evidence_run import house_keyring, tell_key
    from grader.cli.plain_words import plain_words

    with plain_words():
        tell_key(house_keyring().make(passphrase, by=by))


@keys.command("list", epilog=_EPILOG)
def list_keys() -> None:
    """All keys that were made, with their fingerprints, and which signs now.

    Example: **python -m grader evidence keys list**
    """
    from grader.cli.evidence_run import house_keyring, tell_key
    from grader.cli.plain_words import plain_words

    with plain_words():
        lives = house_keyring().lives()
    for life in lives.values():
        tell_key(life)
    if not lives:
        typer.echo("There is no key yet. Make one: python -m grader evidence keys make --by INITIALS")


@keys.command("rotate", epilog=_EPILOG)
def rotate_key(
    by: ByOption,
    why: WhyOption,
    passphrase: PassphraseOption,
    new_passphrase: Annotated[
        str, typer.Option(prompt="Passphrase of the new key", hide_input=True, help="Of the new key; asked for.")
    ],
) -> None:
    """Make a key that takes over; the one before signs it, and then nothing more.

    Example: **python -m grader evidence keys rotate --by AB --why "a year is over"**
    """
    from grader.cli.evidence_run import house_keyring, tell_key
    from grader.cli.plain_words import plain_words

    with plain_words():
        tell_key(house_keyring().rotate(passphrase, new_passphrase, by=by, why=why))


@keys.command("revoke", epilog=_EPILOG)
def revoke_key(by: ByOption, why: WhyOption, passphrase: PassphraseOption) -> None:
    """End the key that signs now, because others may have it. Tell everybody who holds its fingerprint.

    Example: **python -m grader evidence keys revoke --by AB --why "a laptop was stolen"**
    """
    from grader.cli.evidence_run import house_keyring, tell_key
    from grader.cli.plain_words import plain_words

    with plain_words():
        tell_key(house_keyring().revoke(passphrase, by=by, why=why))


@evidence.command(epilog=_EPILOG)
def plan(
    words: Annotated[str, typer.Argument(metavar="WORDS", help="The plan: who takes what from where, who is present.")],
    supplier: SupplierOption,
    lot: LotOption,
    units: Annotated[int, typer.Option(min=1, help="How many units (cartons, sacks) the lot has.")],
    draw: Annotated[int, typer.Option(min=1, help="How many of them are opened.")],
    plates: Annotated[int, typer.Option(min=1, help="How many plates are photographed.")],
    by: ByOption,
    unit: Annotated[str, typer.Option(metavar="WORD", help="What the lot is counted in.")] = "carton",
    other_side: Annotated[str, typer.Option(metavar="TEXT", help="Who of the other side was told, and how.")] = "",
    standard: Annotated[Path | None, typer.Option(metavar="FILE", help="The agreed standard, as for `grade`.")] = None,
    stage: Annotated[Literal["blanched", "finished", "held"], typer.Option(help="As for `grade`.")] = "finished",
) -> None:
    """Seal standard, method and sampling plan, before any plate is taken. Print what it says, and hand it out.

    Example: **python -m grader evidence plan "Two plates from each carton, both present." --supplier Oddmarsh --lot 7
    --units 80 --draw 5 --plates 10 --by AB**
    """
    from grader.cli.evidence_run import seal
    from grader.cli.plain_words import plain_words
    from grader.evidence.commitments import ClaimPlan
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words():
        agreed = ClaimPlan(
            supplier=supplier,
            lot=lot,
            unit=unit,
            units=units,
            draw=draw,
            plates=plates,
            words=words,
            by=by,
            other_side=other_side,
        )
        lines = seal(agreed, at_stage(chosen_standard(standard), stage))
    typer.echo("\n".join(lines))


@evidence.command(epilog=_EPILOG)
def draw(
    ours: Annotated[str, typer.Argument(metavar="OURS", help="A few words or a number from your side.")],
    theirs: Annotated[str, typer.Argument(metavar="THEIRS", help="A few words or a number from the other side.")],
    supplier: SupplierOption,
    lot: LotOption,
    by: ByOption,
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the sheet to take along, as text.")] = None,
) -> None:
    """Draw which units to open, in front of both: each side writes its words down before the other's are shown.

    Example: **python -m grader evidence draw "seven geese" "4711 and rain" --supplier Oddmarsh --lot 7 --by AB**
    """
    from grader.cli.evidence_run import draw_units
    from grader.cli.plain_words import plain_words

    with plain_words():
        lines = draw_units(supplier, lot, (ours, theirs), by=by, out=out)
    typer.echo("\n".join(lines))


@evidence.command(epilog=_EPILOG)
def anchor(
    by: ByOption = "",
    to: Annotated[str, typer.Option(metavar="TEXT", help="To whom the hash is handed, on paper or by mail.")] = "",
    way: Annotated[str, typer.Option(metavar="WORD", help="printed, mailed. Else printed.")] = "",
    server: Annotated[str, typer.Option(metavar="URL", help="A time-stamp server (RFC 3161), in place of paper.")] = "",
    root: Annotated[Path | None, typer.Option(metavar="FILE", help="The server's root certificate, PEM.")] = None,
) -> None:
    """Hand the chain's newest hash to somebody outside, once a day: then the chain can't be built anew unseen.

    Example: **python -m grader evidence anchor --to "both sides, by mail" --way mailed --by AB**
    """
    from grader.cli.evidence_run import anchor_chain
    from grader.cli.plain_words import plain_words

    with plain_words():
        lines = anchor_chain(to=to, way=way, by=by, server=server, root=root)
    typer.echo("\n".join(lines))


@evidence.command(epilog=_EPILOG)
def custody(
    words: Annotated[str, typer.Argument(metavar="WORDS", help="What was done: sealed, handed over, opened.")],
    supplier: SupplierOption,
    lot: LotOption,
    part: Annotated[Literal["ours", "theirs", "referee"], typer.Option(help="Which of the three parts.")],
    by: ByOption,
    holder: Annotated[str, typer.Option(metavar="NAME", help="Who has it from now on.")],
    seal: Annotated[str, typer.Option(metavar="NUMBER", help="Number of the seal on the bag.")] = "",
) -> None:
    """Write down what becomes of tubers kept back: one part ours, one theirs, one for a referee.

    Example: **python -m grader evidence custody "six tubers sealed" --supplier Oddmarsh --lot 7 --part referee
    --holder "cold store" --seal 0093 --by AB**
    """
    from grader.cli.evidence_run import note_custody
    from grader.cli.plain_words import plain_words

    with plain_words():
        line = note_custody(supplier, lot, part=part, words=words, holder=holder, seal=seal, by=by)
    typer.echo(line)


@evidence.command("list", epilog=_EPILOG)
def list_lots(url: options.RecordsOption = None, photo_store: options.PhotosOption = None) -> None:
    """The lots, and batches without a lot, that the records could make a file of.

    Example: **python -m grader evidence list**
    """
    from grader.cli.evidence_run import choosable_lines
    from grader.cli.plain_words import plain_words

    with plain_words():
        lines = choosable_lines(url, photo_store)
    typer.echo("\n".join(lines) or "The records hold no plate.")


@evidence.command(epilog=_EPILOG)
def make(
    which: Annotated[
        str, typer.Argument(metavar="WHICH", help="A lot's number, or a name that `evidence list` gives.")
    ],
    out: Annotated[Path, typer.Option(metavar="FILE", help="The sealed file, a new .zip.")],
    by: ByOption,
    passphrase: PassphraseOption,
    statement: Annotated[str, typer.Option(metavar="TEXT", help="What you say besides, in your own words.")] = "",
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The agreed one; else that of the plan.")
    ] = None,
    lot_fry: Annotated[
        Path | None, typer.Option(metavar="TABLE", help="A filled-in table of `intake read-fry`.")
    ] = None,
    gauge: Annotated[Path | None, typer.Option(metavar="DIR", help="A study of the method (`gauge plan`).")] = None,
    attach: Annotated[
        list[Path] | None, typer.Option(metavar="FILE", help="Weights of tubers, raw strips, ...")
    ] = None,
    server: Annotated[str, typer.Option(metavar="URL", help="A time-stamp server (RFC 3161) for the file.")] = "",
    root: Annotated[Path | None, typer.Option(metavar="FILE", help="The server's root certificate, PEM.")] = None,
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
) -> None:
    """Make the sealed file of a lot: photos, readings, standard, card values, chain, dossier, signed.

    Example: **python -m grader evidence make OM-0412 --out claim.zip --by AB --statement "Shorter than agreed."**
    """
    from grader.cli.evidence_run import Making, make_file
    from grader.cli.plain_words import plain_words

    with plain_words():
        asked = Making(
            which=which,
            out=out,
            by=by,
            statement=statement,
            standard=standard,
            lot_fry=lot_fry,
            gauge=gauge,
            attach=tuple(attach or ()),
            server=server,
            root=root,
        )
        lines = make_file(asked, passphrase, url=url, photo_store=photo_store)
    typer.echo("\n".join(lines))


@evidence.command(epilog=_EPILOG)
def verify(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A sealed file.")],
    key: Annotated[str, typer.Option(metavar="FINGERPRINT", help="Of the maker's key, as you were given it.")] = "",
    head: Annotated[str, typer.Option(metavar="HASH", help="Of a record of their chain, as you were given it.")] = "",
    lot: Annotated[str, typer.Option(metavar="NUMBER", help="The lot that it must be of.")] = "",
    trust: Annotated[Path | None, typer.Option(metavar="FILE", help="Certificates of time-stamp servers, PEM.")] = None,
    grading: Annotated[
        bool,
        typer.Option(
            "--with-grading/--without-grading", help="Grade the photos again; without it it takes a second or two."
        ),
    ] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Check a sealed file as a stranger: signature, hashes, chain, time stamps, every number graded again.

    Example: **python -m grader evidence verify claim.zip --without-grading**
    """
    from grader.cli.evidence_run import check_file, told_json
    from grader.cli.exits import Exit
    from grader.cli.plain_words import plain_words
    from grader.evidence.verifying import verified_lines

    with plain_words(as_json=as_json):
        verified = check_file(file, key=key, head=head, lot=lot, trust=trust, grading=grading)
    typer.echo(told_json(verified) if as_json else "\n".join(verified_lines(verified)))
    raise typer.Exit(Exit.DONE if verified.holds else Exit.FAILED)


@evidence.command(epilog=_EPILOG)
def turned(
    first: Annotated[Path, typer.Argument(metavar="FIRST", help="Photo of a plate.")],
    second: Annotated[Path, typer.Argument(metavar="SECOND", help="The same plate, turned or flipped.")],
    way: Annotated[
        Literal["turned", "flipped"],
        typer.Option(help="The mat turned by half a turn, or the fries flipped, tray over tray."),
    ] = "turned",
    supplier: Annotated[str, typer.Option(metavar="NAME", help="With --lot: note the pair for this lot.")] = "",
    lot: Annotated[str, typer.Option(metavar="NUMBER", help="The lot of the plate.")] = "",
    by: ByOption = "",
    standard: Annotated[Path | None, typer.Option(metavar="FILE", help="As for `grade`.")] = None,
) -> None:
    """Turn and shoot: what two photos of one plate tell of its doubt. Noted for its lot, the plate counts once.

    Example: **python -m grader evidence turned a.jpg b.jpg --supplier Oddmarsh --lot 7 --by AB**
    """
    from grader.cli.evidence_run import compare_pair
    from grader.cli.plain_words import plain_words

    with plain_words():
        lines = compare_pair((first, second), way=way, supplier=supplier, lot=lot, by=by, standard=standard)
    typer.echo("\n".join(lines))


@evidence.command(epilog=_EPILOG)
def joint(
    ours: Annotated[Path, typer.Argument(metavar="OURS", help="Results of `grade` of your photos.")],
    theirs: Annotated[Path, typer.Argument(metavar="THEIRS", help="Of the other side's photos of the same plates.")],
    supplier: SupplierOption,
    lot: LotOption,
    by: ByOption,
    worth: Annotated[
        float, typer.Option(help="The smallest difference that you would act on, in the quantity's unit.")
    ],
    quantity: Annotated[Literal["place", "L", "a", "b", "length"], typer.Option(help="What is compared.")] = "length",
    pairs: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV table with the columns first and second: photos of one plate."),
    ] = None,
    standard: Annotated[Path | None, typer.Option(metavar="FILE", help="As for `grade`.")] = None,
) -> None:
    """A joint inspection: each side photographs the same plates with its own phone. Noted in the chain, as it came out.

    Photos of a plate go by one name on both sides, or --pairs says which belong together.

    Example: **python -m grader evidence joint ours/ theirs/ --supplier Oddmarsh --lot 7 --worth 2 --by AB**
    """
    from grader.cli.evidence_run import Sides, compare_sides
    from grader.cli.plain_words import plain_words

    with plain_words():
        both = Sides(ours=ours, theirs=theirs, pairs=pairs, quantity=quantity, worth=worth)
        lines = compare_sides(both, supplier=supplier, lot=lot, by=by, standard=standard)
    typer.echo("\n".join(lines))
