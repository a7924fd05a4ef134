"""What the commands for a dispute do: the house's chain and keys, one call into the evidence room each."""

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass
from pathlib import Path

import typer

from grader.consistency.compare_words import kitchens_lines
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.consistency.two_kitchens import compare_kitchens
from grader.counted import counted
from grader.errors import GraderError
from grader.evidence.anchors import anchor_by_hand, anchor_by_stamp, head_words
from grader.evidence.case_making import Wanted, left_out, make_case, note_made
from grader.evidence.chain import Entry, tag_of
from grader.evidence.commitments import ClaimPlan, draw_in_front, seal_plan, sealed_plan
from grader.evidence.dossier import draw_dossier
from grader.evidence.journal import house_journal
from grader.evidence.key_history import KeyLife
from grader.evidence.keyring import Keyring
from grader.evidence.method_study import method_lines
from grader.evidence.model import Attached
from grader.evidence.pack import unpack
from grader.evidence.pairs import Way, note_pair, pair_lines, read_pair
from grader.evidence.plain_check import SIGNATURE
from grader.evidence.recorded import Choosable, choosable
from grader.evidence.sealing import seal as seal_case
from grader.evidence.sealing import with_stamp
from grader.evidence.stamps import fetch_stamp, read_roots, stamp_request
from grader.evidence.verifying import Asked, Verified
from grader.evidence.verifying import verify as verify_bundle
from grader.line.lot_fry import compare_lots
from grader.line.lot_fry_table import read_strips
from grader.new_files import write_new_bytes
from grader.records.comparisons import paired, read_pairs
from grader.records.database import House, open_kept
from grader.records.guarded import grade_guarded
from grader.records.house import kept_studies, known_today
from grader.records.plate_readings import read_plates
from grader.records.readings import json_text
from grader.records.standards import chosen_standard
from grader.records.whole_files import write_whole
from grader.standard.model import Standard

BUNDLE_AT_MOST = 2**31
_NAMED_AT_MOST = 10


def house_keyring() -> Keyring:
    """The keys of this machine."""
    return Keyring(journal=house_journal())


def tell_key(life: KeyLife) -> None:
    """A key, since when it signs, until when, why."""
    state = "signs now" if life.revoked is None else f"ended {life.revoked:%Y-%m-%d} UTC: {life.why}"
    typer.echo(f"{life.public.spoken}\n  made {life.since:%Y-%m-%d} UTC by {life.by}; {state}")


def seal(plan: ClaimPlan, standard: Standard) -> list[str]:
    """Seal a plan; what to print and hand out."""
    journal = house_journal()
    kept = sum(1 for _, tag in journal.plates() if tag == plan.tag)
    earlier = sealed_plan(journal.of_kind("sealed"), plan.tag)
    entry = seal_plan(journal, plan, standard)
    return [
        f"Sealed: {plan.draw} of {counted(plan.units, 'unit')} ({plan.unit}), {counted(plan.plates, 'plate')}.",
        f"Judged by {standard.name}, version {standard.version}.",
        *_too_late(kept, earlier),
        *_hand_out(entry),
    ]


def _too_late(kept: int, earlier: Entry | None) -> Iterator[str]:
    """What takes from a plan: plates that were there before it, or another plan."""
    if kept:
        yield f"Too late: {counted(kept, 'plate')} of this lot came before, so this plan doesn't count."
    elif earlier is not None:
        told = f"record {earlier.link.turn}, {earlier.link.at:%Y-%m-%d} UTC"
        yield f"This lot had a plan ({told}): the new one counts, and no draw of the old one does."


def draw_units(supplier: str, lot: str, words: Sequence[str], *, by: str, out: Path | None) -> list[str]:
    """Draw, and write the sheet to take along."""
    entry = draw_in_front(house_journal(), supplier=supplier, lot=lot, words=words, by=by)
    body = entry.body or {}
    drawn = [str(unit) for unit in body["drawn"]]
    lines = [
        f"Lot {lot} of {supplier}: open {body['unit']} {', '.join(drawn)} of {body['of']}.",
        f"From the words {words[0]!r} and {words[1]!r}. Anybody can draw again: unit k comes in the order of",
        f"  printf %s '{body['seed']} k' | sha256sum",
        "the smallest first.",
        *_hand_out(entry),
    ]
    if out is not None:
        row = "[  ] {} {}   opened at ______   plates ______________   initials ____  ____"
        boxes = [row.format(body["unit"], unit) for unit in drawn]
        write_whole(out, "\n".join([*lines, "", *boxes, ""]).encode())
    return lines


def _hand_out(entry: Entry) -> list[str]:
    return [f"Hand this to both sides: record {entry.link.turn} of our chain has the SHA-256 {entry.link.hash}."]


def anchor_chain(*, to: str, way: str, by: str, server: str, root: Path | None) -> list[str]:
    """Anchor the newest record: by hand, with what is told of that, or by a server."""
    stamped_by = _root(server, root)
    if stamped_by is None:
        way = way or "printed"
        return [f"{head_words(anchor_by_hand(house_journal(), way=way, to=to, by=by))} Noted: {way}, to {to}."]
    told = [name for name, words in {"--to": to, "--way": way, "--by": by}.items() if words]
    if told:
        hint = "Leave these out, or anchor it by hand: without --server."
        raise GraderError(f"A server's stamp notes no {', '.join(told)}.", hint=hint)
    entry = anchor_by_stamp(house_journal(), server, stamped_by)
    return [f"{head_words(entry)} Stamped by {server}."]


def _root(server: str, root: Path | None) -> bytes | None:
    """The certificate by which a server's stamp is checked; None where no server is asked."""
    if not server:
        if root is not None:
            hint = "Name the server too: --server URL."
            raise GraderError("--root is a time-stamp server's certificate, and no server is named.", hint=hint)
        return None
    if root is None:
        raise GraderError("A time stamp needs a certificate to check it by.", hint="Name the server's: --root FILE.")
    pem = root.read_bytes()
    read_roots(pem)  # a file that holds none is refused before anything is done
    return pem


def note_custody(supplier: str, lot: str, *, part: str, words: str, holder: str, seal: str, by: str) -> str:
    """Keep what became of a part of the tubers."""
    if not all(one.strip() for one in (supplier, lot, words, holder, by)):
        raise GraderError("Custody needs the lot, what was done, who has it, who says so.", hint="Nothing was kept.")
    body = {"by": by, "done": words, "holder": holder, "part": part, "seal": seal, "what": "tubers kept back"}
    entry = house_journal().add("custody", body, about=tag_of(supplier, lot))
    return f"Kept as record {entry.link.turn}: {part}, {words}, with {holder}."


def choosable_lines(url: str | None, photo_store: str | None) -> list[str]:
    """What a file can be made of."""
    with closing(open_kept(url, photos=photo_store)) as house:
        return [f"{one.tag}  {one.about}, {counted(one.plates, 'plate')}" for one in choosable(house)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What the command `make` was told."""

    which: str
    out: Path
    by: str
    statement: str
    standard: Path | None
    lot_fry: Path | None
    gauge: Path | None
    attach: tuple[Path, ...]
    server: str
    root: Path | None


def make_file(asked: Making, passphrase: str, *, url: str | None, photo_store: str | None) -> list[str]:
    """Make the sealed file; what to tell of it."""
    _check_new(asked.out)
    keyring = house_keyring()
    key = keyring.unlocked(passphrase)
    root = _root(asked.server, asked.root)
    with closing(open_kept(url, photos=photo_store)) as house:
        wanted = _wanted(house, asked)
        case = make_case(house, keyring.journal, wanted, key.public, done=_tell_done)
    sealed = seal_case(case, draw_dossier(case, key.public), key)
    data, stamped = sealed.data, ""
    if root is not None:
        signature = unpack(data)[SIGNATURE]
        data = with_stamp(data, fetch_stamp(asked.server, stamp_request(signature), signature, read_roots(root)), root)
        stamped = f" Stamped by {asked.server}."
    write_new_bytes(asked.out, data)
    note_made(keyring.journal, case, sealed.manifest)
    return [
        f"{asked.out}: {case.about}, {counted(len(case.plates), 'plate')}, {len(data) / 1e6:.1f} MB.{stamped}",
        f"Signed with the key {key.public.spoken}",
        f"The chain's newest record in it is {case.entries[-1].link.hash}",
        "Hand both to the other side another way than the file.",
        *_left_out_lines(left_out(case)),
    ]


def _left_out_lines(names: Sequence[str]) -> list[str]:
    if not names:
        return []
    return [
        f"Left out: {', '.join(names)}, withdrawn or moved to another lot since the chain has them of this one.",
        (
            f"So this file doesn't hold: its check tells of {counted(len(names), 'plate')} left out. Take them up "
            "again (records correct plate ID) and make it anew, or tell the other side why they are out."
        ),
    ]


def _check_new(out: Path) -> None:
    """Told before minutes of grading; who makes the file meanwhile, is refused when it is written."""
    if out.exists():
        raise GraderError(f"{out} is there already.", hint="Others may have a sealed file: name a new one.")


def compare_pair(
    files: tuple[Path, Path], *, way: Way, supplier: str, lot: str, by: str, standard: Path | None
) -> list[str]:
    """What a pair tells; noted in the chain where its lot is named."""
    chosen, known = chosen_standard(standard), known_today()
    first, second = (
        grade_guarded(file.read_bytes(), name=file.name, standard=chosen, known=known, studies=kept_studies())
        for file in files
    )
    lines = list(pair_lines(read_pair(first, second, chosen, way=way)))
    if not lot:
        return [*lines, "Not noted: name --supplier and --lot, so that the plate counts once in a claim."]
    if not supplier or not by:
        raise GraderError("To note a pair needs --supplier, --lot and --by.", hint="Give all three.")
    tag, hashes = tag_of(supplier, lot), (first.sha256, second.sha256)
    entry = note_pair(house_journal(), tag=tag, first=hashes[0], second=hashes[1], way=way, by=by)
    return [*lines, f"Noted as record {entry.link.turn}. Keep both photos in the records, with this lot."]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Results of both sides, which photos are of one plate, what is compared, the smallest difference to act on."""

    ours: Path
    theirs: Path
    pairs: Path | None
    quantity: QuantityKey
    worth: float


def compare_sides(sides: Sides, *, supplier: str, lot: str, by: str, standard: Path | None) -> list[str]:
    """What both sides read of the same plates; noted in the chain."""
    chosen = chosen_standard(standard)
    ours, theirs = (read_plates([folder], standard=chosen) for folder in (sides.ours, sides.theirs))
    told = None if sides.pairs is None else read_pairs(sides.pairs)
    found = compare_kitchens(paired(ours, theirs, quantity=sides.quantity, pairs=told), worth_acting_on=sides.worth)
    lines = list(kitchens_lines(found, QUANTITIES[sides.quantity], first="ours", second="theirs"))
    body = {
        "by": by,
        "came out": " ".join(lines),
        "plates": len(found.plates),
        "quantity": sides.quantity,
        "what": "joint inspection, each side with its own phone",
        "worth acting on": sides.worth,
    }
    entry = house_journal().add("inspection", body, about=tag_of(supplier, lot))
    return [*lines, f"Noted as record {entry.link.turn}."]


def _tell_done(done: int, of: int) -> None:
    typer.echo(f"graded {done} of {of}", err=True)


def _wanted(house: House, asked: Making) -> Wanted:
    files = (*asked.attach, *([asked.lot_fry] if asked.lot_fry else []))
    return Wanted(
        tag=_chosen(house, asked.which).tag,
        by=asked.by,
        statement=asked.statement,
        standard=None if asked.standard is None else chosen_standard(asked.standard),
        attached=tuple(Attached(name=one.name, data=one.read_bytes(), words="handed in by the maker") for one in files),
        gauge=() if asked.gauge is None else method_lines(asked.gauge),
        lot_fry=None if asked.lot_fry is None else compare_lots(read_strips(asked.lot_fry)),
    )


def _chosen(house: House, which: str) -> Choosable:
    offered = choosable(house)
    found = [one for one in offered if which in {one.tag, one.about} or one.about.startswith(f"Lot {which} of ")]
    if not found:
        raise GraderError(f'The records hold no plate of "{which}".', hint=f"There is: {_offered(offered)}.")
    if len(found) > 1:
        raise GraderError(f'"{which}" names {len(found)} lots or batches.', hint=f"Name one: {_offered(found)}.")
    return found[0]


def _offered(lots: Sequence[Choosable]) -> str:
    told = "; ".join(f"{one.tag} ({one.about})" for one in lots[:_NAMED_AT_MOST]) or "nothing"
    more = len(lots) - _NAMED_AT_MOST
    return f"{told}; and {more} more, see python -m grader evidence list" if more > 0 else told


def check_file(file: Path, *, key: str, head: str, lot: str, trust: Path | None, grading: bool) -> Verified:
    """Check a sealed file."""
    roots = () if trust is None else read_roots(trust.read_bytes())
    with file.open("rb") as opened:
        data = opened.read(BUNDLE_AT_MOST + 1)
    return verify_bundle(data, Asked(key=key, head=head, lot=lot, roots=roots, grading=grading), done=_tell_done)


def told_json(verified: Verified) -> str:
    """For other programs."""
    manifest = verified.manifest
    return json_text(
        {
            "holds": verified.holds,
            "headline": verified.headline,
            "checks": [asdict(check) for check in verified.checks],
            "manifest": None if manifest is None else manifest.model_dump(),
        }
    ).rstrip("\n")
