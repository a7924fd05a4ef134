"""What stands behind the figures: sampling, method, cards, studies, doubt, custody, mends, what overturns it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from grader.consistency.quantities import QUANTITIES
from grader.decision import length_as_meant
from grader.evidence.anchors import head_words
from grader.evidence.chain import Entry
from grader.evidence.commitments import draws_by, plans_in_time
from grader.evidence.custody import clock_words
from grader.evidence.dossier.paper import Paper
from grader.evidence.errors import EvidenceRefused
from grader.evidence.keys import PublicKey
from grader.evidence.model import Case
from grader.evidence.pairs import Way, pair_lines, pooled_u, read_pair
from grader.evidence.plain_check import NOT_PROVEN
from grader.evidence.what_may_be_claimed import Claimable
from grader.records.readings import THICKNESS
from grader.standard import CAUTIONS, standard_sha256

_CAUSES = {
    "fit": "the correction by the card",
    "metamerism": "inks are not food: how lights tell them apart",
    "card": "the colours that the card was printed in",
    "shine": "shine of the oil",
    "light": "the light over the plate",
}


def draw_sampling(paper: Paper, case: Case) -> None:
    """Who took how many plates from where, and what that can and cannot show."""
    paper.heading("Sampling")
    batches = sorted({(plate.batch, plate.kitchen) for plate in case.plates})
    takers = sorted({plate.by for plate in case.plates if plate.by}) or ["nobody named"]
    paper.paragraph(
        f"{len(case.plates)} plates of {len(batches)} batch(es): "
        f"{'; '.join(f'{batch} ({kitchen})' for batch, kitchen in batches)}. Brought in by {', '.join(takers)}."
    )
    plan = next(reversed(plans_in_time(case.entries, case.tag)), None)
    draw = None if plan is None else next(reversed(draws_by(plan, case.entries)), None)
    if plan is None or plan.body is None:
        paper.paragraph("No sampling plan was sealed before the plates were taken: how they were chosen is not shown.")
    else:
        told = plan.body
        paper.paragraph(
            f"Sealed on {plan.link.at:%Y-%m-%d %H:%M} UTC by {told['by']} (record {plan.link.turn}): "
            f"{told['draw']} of {told['units']} units ({told['unit']}), {told['plates']} plates. {told['words']} "
            f"The other side: {told['other_side'] or 'not told of it'}."
        )
    if draw is not None and draw.body is not None:
        told = draw.body
        units = ", ".join(str(unit) for unit in told["drawn"])
        paper.paragraph(
            f"Drawn (record {draw.link.turn}) from the words of both sides, "
            f"{' and '.join(repr(one) for one in told['words'])}: {told['unit']} {units} of {told['of']}."
        )
    paper.items(
        [
            (
                "What it can show: what fries of these plates measure, and, as far as the plates were drawn by chance, "
                "what the lot they came from is like. The unit is the plate: fries of one plate are alike."
            ),
            (
                "What it cannot show: anything of units that nobody opened, where they were not drawn by chance; and "
                "whether the lot was like this when it was handed over."
            ),
        ]
    )


def draw_method(paper: Paper, case: Case, told: Claimable) -> None:
    """Method, version, cards with values and dates, trueness, the study of the method, the test fry."""
    paper.heading("Method, card and studies")
    serials = sorted({str(plate.graded.serial) for plate in case.plates if plate.graded.serial is not None})
    sheets = sorted({plate.graded.sheet.layout.key for plate in case.plates if plate.graded.sheet is not None})
    values = {one.run: one for plate in case.plates if (one := plate.graded.values) is not None}
    rows = [
        ("Method", f"version {case.method_version} of this program; graded on {case.graded_on.isoformat()}, unmended"),
        (
            "Standard",
            f"{case.standard.name}, version {case.standard.version}; SHA-256 {standard_sha256(case.standard)}",
        ),
        ("Sheets", f"{', '.join(sheets) or 'none'}; serials: {', '.join(serials) or 'none could be read'}"),
        *(
            (
                f"Colours of run {run}",
                (
                    f"{one.method}, measured {one.measured_on.isoformat()} by {one.measured_by}, counts until "
                    f"{one.expires_on.isoformat()}. {one.instrument}"
                ),
            )
            for run, one in sorted(values.items())
        ),
        *([] if values else [("Colours of the card", "nobody measured this print run: as designed")]),
    ]
    if told.standing is not None:
        rows += [("Colour may claim", f"{told.standing.colour.value}. {told.standing.colour_reason}")]
        rows += [("Length may claim", f"{told.standing.length.value}. {told.standing.length_reason}")]
    paper.told_table(("What", "Which"), rows, (36, 138))
    paper.paragraph("Study of the method (who reads how differently):", bold=True)
    paper.items(list(case.gauge) or ["None was handed in with this case."], points=8.5)
    paper.paragraph("Test fry of this lot beside one kept back, in the same oil:", bold=True)
    paper.items(list(_lot_fry(case)), points=8.5)
    if case.attached:
        paper.told_table(("Attached", "What it is"), [(one.name, one.words) for one in case.attached], (60, 114))


def _lot_fry(case: Case) -> Iterator[str]:
    test = case.lot_fry
    if test is None:
        yield "None: a dark fry may be the fryer's doing, and nothing of colour or dark ends is claimed."
        return
    yield (
        f"This lot fries {test.difference:+.2f} steps darker (95 %: {test.low:+.2f} to {test.high:+.2f} steps; house "
        f"scale; standard uncertainty {test.u:.2f}, {test.freedom:.1f} degrees of freedom)."
    )
    for name, ends in (("this lot", test.new_ends), ("the lot kept back", test.kept_ends)):
        if ends is not None:
            share = f"{100 * ends.low:.0f} to {100 * ends.high:.0f} %"
            yield f"Sugar ends: {ends.found} of {ends.tubers} tubers of {name} (95 %, exact: {share} of the lot)."


def draw_pairs(paper: Paper, case: Case) -> None:
    """What plates that were photographed twice tell of their own doubt; nothing where none was."""
    seconds = [(plate.second_of, plate) for plate in case.plates if plate.second_of]
    if not seconds:
        return
    paper.heading("Turned and shot again")
    paper.paragraph(
        "These plates were photographed twice. A plate counts once, by its first photo, and a fault is proven only "
        "where the second photos prove it too."
    )
    pairs = []
    for turn, plate in seconds:
        way: Way = "turned" if plate.way == "turned" else "flipped"
        try:
            pairs.append(read_pair(case.plates[turn - 1].graded, plate.graded, case.standard, way=way))
        except EvidenceRefused as error:
            paper.items([f"Plate {turn}: {error.message}"], points=8.5)
            continue
        paper.items([f"Plate {turn}. {' '.join(line.strip() for line in pair_lines(pairs[-1]))}"], points=8.0)
    rows = [
        (QUANTITIES[key].title, QUANTITIES[key].amount(u), str(freedom))
        for key, (u, freedom) in pooled_u(pairs).items()
    ]
    if rows:
        head = ("A plate's mean, from all pairs", "Standard uncertainty (k = 1)", "Degrees of freedom")
        paper.told_table(head, rows, (70, 60, 44))
    if case.again is not None:
        paper.paragraph(f"Asked of the second photos: {case.again.headline}")


def draw_doubt(paper: Paper, case: Case) -> None:
    """The uncertainty budget: what each figure's doubt is made of."""
    paper.heading("Uncertainty budget")
    paper.paragraph(
        "Standard uncertainties (k = 1), middle values over all fries; by this program's method. What all fries of a "
        "photo share doesn't shrink with their number."
    )
    paper.told_table(("Of what", "Part", "Standard uncertainty"), list(_budget(case)), (52, 80, 42))
    paper.paragraph(
        "How far plates differ is told by these plates and is in each limit's interval. "
        f"Thickness: {THICKNESS}. No real fry was held beside a colour instrument yet; what is stated for colours "
        "rests on rendered plates of known truth, and on the trueness study where there is one."
    )


def _budget(case: Case) -> Iterator[tuple[str, str, str]]:
    fries = [fry for plate in case.plates if plate.graded.plate is not None for fry in plate.graded.plate.fries]
    lengths = [one for fry in fries if (one := length_as_meant(fry, case.standard)) is not None]
    widths = [fry.width_mm for fry in fries if fry.width_mm is not None]
    for name, found in (("A fry's length", lengths), ("A fry's width", widths)):
        if found:
            yield (
                name,
                "shared: scale of the sheet, lens, height of the plate",
                f"{_middle(m.shared_u for m in found):.2f} mm",
            )
            yield name, "its own: edges, ends", f"{_middle(m.own_u for m in found):.2f} mm"
            yield name, "both together", f"{_middle(m.u for m in found):.2f} mm"
    causes: dict[str, list[Any]] = {}
    for plate in case.plates:
        quality = plate.graded.colour_quality
        for cause, u in ({} if quality is None else quality.shared_lab_u).items():
            causes.setdefault(cause, []).append(u)
    for cause, found_u in causes.items():
        unknown = cause == "card" and all(plate.graded.values is None for plate in case.plates)
        told = "not known: nobody measured this print run" if unknown else _lab(np.median(found_u, axis=0))
        yield "A plate's mean colour", f"shared: {_CAUSES.get(cause, cause)}", told
    own = [fry.colour.own_u for fry in fries if fry.colour is not None]
    if own:
        yield "A fry's colour", "its own", _lab(np.median(own, axis=0))


def _middle(values: Iterator[float]) -> float:
    return float(np.median(list(values)))


def _lab(u: Any) -> str:
    return f"L* {u[0]:.2f}, a* {u[1]:.2f}, b* {u[2]:.2f} (CIELAB units)"


def draw_custody(paper: Paper, case: Case) -> None:
    """From photo to file: both clocks of each plate, its record, what else was written down."""
    paper.heading("Chain of custody")
    paper.paragraph(
        "Each photo was hashed when it arrived and entered as a record that holds the hash of the one before; what its "
        "camera says and when it arrived are both kept. A photo's hash says that it hasn't changed since, and nothing "
        "of before: browsers and messengers write honest photos anew."
    )
    record = {entry.body.get("photo"): entry for entry in case.entries if entry.link.kind == "plate" and entry.body}
    rows = []
    for turn, plate in enumerate(case.plates, 1):
        entry = record.get(plate.graded.sha256)
        rows.append((str(turn), plate.by or "–", clock_words(plate.clocks), _record_words(entry)))
    paper.told_table(("Plate", "By", "Both clocks", "Record in the chain"), rows, (13, 13, 96, 52))
    told = [entry for entry in case.entries if entry.link.kind in {"custody", "inspection"} and entry.body is not None]
    for entry in told:
        paper.items([f"{entry.link.at:%Y-%m-%d %H:%M} UTC: {_told(entry.body or {})}"], points=8.5)
    if not any(entry.link.kind == "custody" for entry in told):
        paper.paragraph("Nothing was written down of tubers kept back and shared between the sides.")


def _record_words(entry: Entry | None) -> str:
    if entry is None:
        return "none"
    late = ", chained late: until then nothing held it" if (entry.body or {}).get("late") else ""
    return f"{entry.link.turn}, {entry.link.at:%Y-%m-%d %H:%M:%S} UTC{late}"


def _told(body: Mapping[str, Any]) -> str:
    return "; ".join(f"{name.replace('_', ' ')}: {value}" for name, value in sorted(body.items()) if value)


def draw_limits_of_it(paper: Paper, case: Case, told: Claimable) -> None:
    """Mends, cautions, and what would overturn the finding."""
    paper.heading("Mended by hand")
    mends = [f"Plate {turn}: {one}" for turn, plate in enumerate(case.plates, 1) for one in plate.mends]
    if mends:
        paper.paragraph("In the house's records these plates were mended. Nothing of that counts here:")
        paper.items(mends, points=8.5)
    else:
        paper.paragraph("Nothing: neither in the records nor here.")
    paper.heading("What would overturn this finding")
    paper.items(list(_overturns(case, told)))
    paper.heading("Cautions")
    stage = CAUTIONS[case.standard.stage]
    paper.items(
        [
            "Colour and size say nothing of whether fries are cooked through, safe, or of what they contain.",
            *([stage] if stage else []),
            (
                "Fries that were photographed are a sample, not food: throw them away, or keep to your own rules and "
                "your local food code. Hot oil burns: samples are taken from the pass, not from the fryer."
            ),
            "Whether a claim is good in law is for a lawyer and your contract to say, not for this program.",
        ]
    )


def _overturns(case: Case, told: Claimable) -> Sequence[str]:
    found = [
        "Plates that were not drawn by chance, or not from this lot: ask who was present, and who chose.",
        "A printed rule or card that is not as long as it says: measure it. Every length is off by the same share.",
        "A photo that shows other fries than the plate had, or a plate left out before it was entered.",
        "The same photos graded otherwise by the same method: grade them again; the file holds all that it takes.",
        "The same plates photographed with another phone and read differently beyond both stated doubts (E_n above 1).",
        "Fries that broke between fryer and plate: lengths of raw strips of the same lot would show it.",
    ]
    if told.colour:
        found.append("Another lot that comes out as dark in the same oil: the test fry of both lots would show it.")
    if not plans_in_time(case.entries, case.tag):
        found.append("That standard and number of plates were chosen afterwards: no plan was sealed before.")
    return found


def draw_keys(paper: Paper, case: Case, key: PublicKey) -> None:
    """How to check, and what checking does not prove."""
    paper.heading("How to check this")
    paper.paragraph(
        "This dossier lies in one sealed file with the original photos, every reading, the standard, the card's "
        "values and the chain of records. HOW-TO-CHECK.txt in it says how to check it with openssl and sha256sum "
        "alone; whoever has this program types: python -m grader evidence verify FILE."
    )
    paper.paragraph(f"Fingerprint of the key that signs: {key.spoken}")
    paper.paragraph(f"Newest record of the chain ({case.entries[-1].link.turn}): {case.entries[-1].link.hash}")
    anchors = [entry for entry in case.entries if entry.link.kind == "anchor" and entry.body is not None]
    lines = [f"{entry.link.at:%Y-%m-%d}, {(entry.body or {}).get('way')}: {head_words(entry)}" for entry in anchors]
    paper.items(lines or ["The chain was handed to nobody outside before this file was made."], points=8.5)
    paper.paragraph("Not proven by signature and chain:", bold=True)
    paper.items([words.rstrip(";") for words in NOT_PROVEN], points=8.5)
