"""Numbers graded again are held against what the file says, within a tenth of their uncertainty."""

import json
import os
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from grader.card.layouts import load_layouts
from grader.card_values import designed_values
from grader.card_values.document import write_values
from grader.errors import GraderError
from grader.evidence import regrading
from grader.evidence.check import Check, Holds
from grader.evidence.looking import By, Looked, LookingEnded, look_at_all
from grader.evidence.manifest import read_manifest
from grader.evidence.model import Case
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import MANIFEST
from grader.evidence.sealing import seal
from grader.evidence.verifying import Asked, verify
from tests.evidence import cases
from tests.evidence.tampering import signed_anew
from tests.records import made_up


@pytest.fixture
def here(tmp_path: Path) -> cases.House:
    return cases.house(tmp_path / "evidence")


@pytest.fixture
def case(here: cases.House, monkeypatch: pytest.MonkeyPatch) -> Case:
    """A case whose photos come out, when they are graded again, as they did: the pipeline is made up here."""
    made = cases.case(here)
    monkeypatch.setattr(regrading, "look_at_all", lambda *_, **__: tuple(plate.looked for plate in made.plates))
    return made


def numbers(data: bytes) -> Check:
    (told,) = [check for check in verify(data, Asked(workers=1)).checks if check.key == "numbers"]
    return told


def changed(here: cases.House, case: Case, name: str, change: Callable[[Any], None]) -> bytes:
    """The house changes what a file says, and signs that."""
    contents = unpack(seal(case, cases.DOSSIER, here.key).data)
    record = json.loads(contents[name])
    change(record)
    contents[name] = json.dumps(record).encode()
    return signed_anew(contents, here.key)


def test_what_comes_out_alike_holds(here: cases.House, case: Case) -> None:
    told = numbers(seal(case, cases.DOSSIER, here.key).data)
    assert told.holds is Holds.YES
    assert "3 photo(s) were graded again" in told.words


@pytest.mark.parametrize(("share", "holds"), [(0.0, True), (0.09, True), (0.12, False), (-0.12, False), (3.0, False)])
def test_a_number_may_be_off_by_a_tenth_of_its_uncertainty(
    here: cases.House, case: Case, share: float, *, holds: bool
) -> None:
    def change(record: Any) -> None:
        fry = record["fries"][0]
        fry["length_mm"] += share * fry["length_mm_u"]

    assert (numbers(changed(here, case, "plates/001.json", change)).holds is Holds.YES) is holds


def _drop_fry(record: Any) -> None:
    record["fries"].pop()


def _twice(record: Any) -> None:
    record["fries"].append(record["fries"][0])


def _wider(record: Any) -> None:
    record["fries"][0]["length_mm_u"] *= 2


def _null(record: Any) -> None:
    record["fries"][0]["length_mm"] = None


def _text(record: Any) -> None:
    record["fries"][0]["length_mm"] = "100"


def _lab(record: Any) -> None:
    record["fries"][0]["lab"][1] += 1.0


def _short_lab(record: Any) -> None:
    record["fries"][0]["lab"].pop()


def _refused(record: Any) -> None:
    record["status"] = "refused"


def _whole(record: Any) -> None:
    record["fries"][0]["whole"] = False


def _other_photo(record: Any) -> None:
    record["sha256"] = "0" * 64


def _odd_fries(record: Any) -> None:
    record["fries"] = [1, None, {"id": [2]}]


def _fries_no_list(record: Any) -> None:
    record["fries"] = {"a": 1}


def _huge(record: Any) -> None:
    record["fries"][0]["length_mm"] = 10**400


@pytest.mark.parametrize(
    "change",
    [
        _huge,
        _drop_fry,
        _twice,
        _wider,
        _null,
        _text,
        _lab,
        _short_lab,
        _refused,
        _whole,
        _other_photo,
        _odd_fries,
        _fries_no_list,
    ],
)
def test_other_readings_are_found(here: cases.House, case: Case, change: Callable[[Any], None]) -> None:
    assert numbers(changed(here, case, "plates/001.json", change)).holds is Holds.NO


def _outcome(record: Any) -> None:
    record["claim"]["outcome"] = "fail"


def _limit_outcome(record: Any) -> None:
    record["claim"]["limits"][0]["outcome"] = "fail"


def _limit_moved(record: Any) -> None:
    record["claim"]["limits"][2]["upper"] = 0.99


def _limit_dropped(record: Any) -> None:
    record["claim"]["limits"].pop()


def _no_claim(record: Any) -> None:
    record["claim"] = None


def _odd_limits(record: Any) -> None:
    record["claim"]["limits"] = [1, {"key": []}, None]


def _claim_no_decision(record: Any) -> None:
    record["claim"] = "pass"


def _release(record: Any) -> None:
    record["release"]["outcome"] = "undecided"


def _again(record: Any) -> None:
    record["again"] = record["claim"]


def _claim_colour(record: Any) -> None:
    record["may_be_claimed"].append("colour")


def _claims_no_list(record: Any) -> None:
    record["may_be_claimed"] = {"colour": 1}


@pytest.mark.parametrize(
    "change",
    [
        _claim_colour,
        _claims_no_list,
        _outcome,
        _limit_outcome,
        _limit_moved,
        _limit_dropped,
        _no_claim,
        _claim_no_decision,
        _release,
        _odd_limits,
        _again,
    ],
)
def test_other_decisions_are_found(here: cases.House, case: Case, change: Callable[[Any], None]) -> None:
    assert numbers(changed(here, case, "decision.json", change)).holds is Holds.NO


def test_photos_that_end_the_program_leave_the_numbers_open(
    here: cases.House, case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    def ends(*_: object, **__: object) -> tuple[Looked, ...]:
        raise LookingEnded("The program ended while it graded the photos.", hint="Try again.")

    monkeypatch.setattr(regrading, "look_at_all", ends)
    assert numbers(seal(case, cases.DOSSIER, here.key).data).holds is Holds.OPEN


class _Ends(str):
    """A name that ends the process to which it is sent."""

    __slots__ = ()

    def __reduce__(self) -> tuple[Callable[[int], None], tuple[int]]:
        return os._exit, (7,)


def test_a_process_that_ends_is_told() -> None:
    by = By(standard=made_up.standard(), known=None, studies=())
    with pytest.raises(LookingEnded, match="ended while it graded"):
        look_at_all([(_Ends("a"), b""), (_Ends("b"), b"")], by, workers=2)


def test_another_edition_says_which_method_it_takes(here: cases.House, case: Case) -> None:
    told = numbers(seal(replace(case, method_version="0.9"), cases.DOSSIER, here.key).data)
    assert told.holds is Holds.OPEN
    assert "method 0.9" in told.words


def test_documents_of_the_card_are_read_from_the_file(here: cases.House, case: Case) -> None:
    layout = load_layouts()[0]
    values = designed_values(layout, run="K7Q2X", printed_on=date(2026, 9, 1), expires_on=date(2027, 3, 1), by="AB")
    with_card = replace(case, card_values={"K7Q2X.toml": write_values(values).encode()})
    contents = unpack(seal(with_card, cases.DOSSIER, here.key).data)
    by = regrading.check_by(contents, read_manifest(contents[MANIFEST]))
    assert by.known is not None
    assert [one.run for one in by.known.values] == ["K7Q2X"]
    assert by.known.on == case.graded_on
    for name, data in (("card-values/001.toml", b"run = 1"), ("standard.toml", b"x"), ("trueness/001.json", b"{}")):
        broken = {**contents, name: data}
        with pytest.raises(GraderError):
            regrading.check_by(broken, read_manifest(contents[MANIFEST]))
        assert numbers(signed_anew(broken, here.key)).holds is Holds.NO
    assert pack(contents)
