"""A case of rendered plates that are graded for real; the house and the lot are invented."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from grader.card_values import KnownValues
from grader.decision import Question, Terms
from grader.evidence.case_making import handed_over
from grader.evidence.commitments import draw_in_front, seal_plan
from grader.evidence.custody import two_clocks
from grader.evidence.looking import By, look_at_all
from grader.evidence.model import Case, CasePlate
from grader.grading import METHOD_VERSION, judge_photos
from grader.records.standards import DEFAULT_STANDARD
from grader.standard import load_shipped
from tests.evidence import cases

PLATES = Path(__file__).parent.parent / "plates"
GRADED_ON = date(2026, 10, 6)


def plate_files(count: int) -> list[Path]:
    return sorted(PLATES.glob("*.jpg"))[:count]


def real_case(here: cases.House, files: Sequence[Path], *, workers: int | None = None) -> Case:
    """These plates as one lot, planned, drawn and chained."""
    standard = load_shipped()[DEFAULT_STANDARD]
    agreed = replace(cases.plan(plates=len(files)), units=200, draw=len(files))
    seal_plan(here.journal, agreed, standard)
    draw_in_front(here.journal, supplier=agreed.supplier, lot=agreed.lot, words=["seven geese", "4711"], by="AB")
    by = By(standard=standard, known=KnownValues(values=(), on=GRADED_ON), studies=())
    photos = [(file.name, file.read_bytes()) for file in files]
    looked = look_at_all(photos, by, workers=workers)
    arrived = cases.START + timedelta(minutes=15)
    clocks = two_clocks("2026-10-06T10:10:00", ZoneInfo("Europe/Lisbon"), arrived)
    plates = tuple(
        CasePlate(
            data=data, looked=one, batch="lunch", kitchen="Quayside (invented)", by="AB", clocks=clocks, kept_at=arrived
        )
        for (_, data), one in zip(photos, looked, strict=True)
    )
    cases.chained(here, plates, agreed.tag)
    graded = [one.graded for one in looked]
    return Case(
        supplier=agreed.supplier,
        lot=agreed.lot,
        about=f"Lot {agreed.lot} of {agreed.supplier}",
        tag=agreed.tag,
        plates=plates,
        standard=standard,
        verdict=judge_photos(graded, standard, Terms(question=Question.CLAIM)),
        release=judge_photos(graded, standard),
        method_version=METHOD_VERSION,
        graded_on=GRADED_ON,
        made_at=here.journal.now(),
        made_by="AB",
        entries=handed_over(here.journal.entries(), agreed.tag, here.key.public),
        statement="Shorter than agreed.",
        invented=True,
    )
