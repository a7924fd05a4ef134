"""Cases to seal, typed in by hand: a house, its chain, a few plates; all of it is invented, nothing measured."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from grader.decision import Question, Terms
from grader.evidence.case_making import handed_over
from grader.evidence.commitments import ClaimPlan, draw_in_front, seal_plan
from grader.evidence.custody import two_clocks
from grader.evidence.journal import Journal
from grader.evidence.keyring import Keyring
from grader.evidence.keys import SigningKey
from grader.evidence.looking import Looked
from grader.evidence.model import Case, CasePlate
from grader.evidence.sealing import seal
from grader.grading import METHOD_VERSION, judge_photos
from grader.records.guarded import without_pixels
from grader.records.readings import json_bytes, labels_png, photo_record
from tests.records import made_up

PASSPHRASE = "four words in a row"  # noqa: S105 - of keys that live as long as the test
START = datetime(2026, 10, 6, 9, 0, tzinfo=UTC)
SUPPLIER = "Oddmarsh Growers (invented)"
DOSSIER = b"%PDF-1.7 a stand-in"


@dataclass
class Clock:
    """Goes on by a minute each time it is asked."""

    at: datetime = START

    def __call__(self) -> datetime:
        self.at += timedelta(minutes=1)
        return self.at


@dataclass(frozen=True)
class House:
    journal: Journal
    keyring: Keyring

    @property
    def key(self) -> SigningKey:
        return self.keyring.unlocked(PASSPHRASE)


def house(folder: Path, clock: Callable[[], datetime] | None = None) -> House:
    """A house with a key."""
    journal = Journal(folder=folder, now=clock or Clock())
    keyring = Keyring(journal=journal)
    keyring.make(PASSPHRASE, by="AB")
    return House(journal=journal, keyring=keyring)


def plan(lot: str = "OM-0412", plates: int = 3) -> ClaimPlan:
    return ClaimPlan(
        supplier=SUPPLIER,
        lot=lot,
        unit="carton",
        units=40,
        draw=3,
        plates=plates,
        words="One plate from each drawn carton, fried in the left fryer, both sides present.",
        by="AB",
        other_side="CD, by telephone",
    )


def plate(number: int, lot: str = "OM-0412") -> CasePlate:
    data = f"photo {number} of {lot}".encode() * 50
    name = f"plate{number}.jpg"
    graded = replace(made_up.graded(name), sha256=hashlib.sha256(data).hexdigest(), method_version=METHOD_VERSION)
    looked = Looked(
        graded=without_pixels(graded),
        readings=json_bytes(photo_record(graded, standard=made_up.standard())),
        camera_time="2026-10-06T10:10:00",
        labels=labels_png(made_up.plate().labels),
        picture=b"",
        strips=(),
    )
    arrived = START + timedelta(minutes=12 + number)
    return CasePlate(
        data=data,
        looked=looked,
        batch="lunch",
        kitchen="Quayside (invented)",
        by="AB",
        clocks=two_clocks(looked.camera_time, ZoneInfo("Europe/Lisbon"), arrived),
        kept_at=arrived,
    )


def chained(here: House, plates: tuple[CasePlate, ...], tag: str) -> None:
    """The plates' records."""
    for one in plates:
        here.journal.add("plate", {"photo": one.graded.sha256, "name": one.graded.name, "late": False}, about=tag)


def case(here: House, *, lot: str = "OM-0412", plates: int = 3, sealed: bool = True) -> Case:
    """Plan, draw, plates of another supplier in between, then the plates of this lot."""
    agreed = plan(lot, plates)
    if sealed:
        seal_plan(here.journal, agreed, made_up.standard())
        words = ["seven geese", "4711 and rain"]
        draw_in_front(here.journal, supplier=SUPPLIER, lot=lot, words=words, by="AB")
    here.journal.add("plate", {"photo": "0" * 64, "name": "another supplier's"}, about="another")
    shown = tuple(plate(number, lot) for number in range(1, plates + 1))
    chained(here, shown, agreed.tag)
    graded = [one.graded for one in shown]
    return Case(
        supplier=SUPPLIER,
        lot=lot,
        about=f"Lot {lot} of {SUPPLIER}",
        tag=agreed.tag,
        plates=shown,
        standard=made_up.standard(),
        verdict=judge_photos(graded, made_up.standard(), Terms(question=Question.CLAIM)),
        release=judge_photos(graded, made_up.standard()),
        method_version=METHOD_VERSION,
        graded_on=date(2026, 10, 6),
        made_at=here.journal.now(),
        made_by="AB",
        entries=handed_over(here.journal.entries(), agreed.tag, here.key.public),
        statement="Shorter than agreed.",
        invented=True,
    )


def bundle(here: House, **told: object) -> bytes:
    """A sealed case."""
    return seal(case(here, **told), DOSSIER, here.key).data  # type: ignore[arg-type]
