"""The pages of evidence: a key, a file of a lot made of what the records keep, and a stranger who checks it."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.evidence.arrivals import chain_batches
from grader.evidence.journal import house_journal
from grader.evidence.pack import unpack
from grader.evidence.verifying import Asked, verify
from grader.records.database import open_house
from grader.records.database.correcting import correct
from grader.records.kept_files import Signed
from tests.evidence import cases
from tests.evidence.test_case_making import _look
from tests.pages.conftest import Page
from tests.records.database.conftest import keep

FOLDER = Path(pages.__file__).parent
PASSPHRASE = "four words in a row"  # noqa: S105 - of keys that live as long as the test


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    monkeypatch.setattr("grader.evidence.case_making.look_at_all", _look)
    return tmp_path


def pressed(at: AppTest, label: str) -> AppTest:
    return next(button for button in at.button if button.label == label).click().run()


@pytest.fixture
def making(page: Page) -> AppTest:
    return page().switch_page(str(FOLDER / "evidence.py")).run()


def with_key(at: AppTest) -> AppTest:
    at.text_input(key="evidence_key_by").set_value("AB")
    at.text_input(key="evidence_key_words").set_value(PASSPHRASE)
    return pressed(at, "Make the key")


def test_the_first_visit_makes_a_key(making: AppTest) -> None:
    assert "before there is a dispute" in making.markdown[0].value
    making.text_input(key="evidence_key_by").set_value("AB")
    making.text_input(key="evidence_key_words").set_value("short")
    assert "too short" in pressed(making, "Make the key").error[0].value
    at = with_key(making)
    assert not at.exception
    assert "fingerprint" in at.success[0].value
    assert "hold no plate yet" in at.info[0].value


def test_a_file_is_made_and_holds(making: AppTest) -> None:
    house = open_house()
    for number in (1, 2):
        keep(house, number)
    house.close()
    at = with_key(making)
    assert "Lot L-7 of Invented Growers" in at.selectbox(key="evidence_lot").options[0]
    assert any("No plan was sealed" in warning.value for warning in at.warning)
    assert len(at.dataframe[0].value) == 2
    at.text_area(key="evidence_statement").set_value("Shorter than agreed.")
    at.text_input(key="evidence_by").set_value("AB")
    at.text_input(key="evidence_passphrase").set_value("a wrong passphrase")
    assert "can't be unlocked" in pressed(at, "Make the file").error[0].value
    at.text_input(key="evidence_passphrase").set_value(PASSPHRASE)
    at = pressed(at, "Make the file")
    assert not at.exception
    made = at.session_state["evidence_made"]
    *_, newest, noted = house_journal().entries()
    assert (made.head, noted.link.kind) == (newest.link.hash, "bundle")
    assert b"Shorter than agreed." in unpack(made.file)["manifest.json"]
    assert verify(made.file, Asked(grading=False, key=made.fingerprint, head=made.head)).holds


def test_a_plate_that_was_withdrawn_since_is_told(making: AppTest) -> None:
    house = open_house()
    plate, _ = (keep(house, number) for number in (1, 2))
    chain_batches(house, house_journal(), {plate.batch_id})
    signed = Signed(by="AB", at=datetime.now(UTC), why="shot by mistake")
    correct(house, "plate", plate.plate_id, {}, signed=signed, withdraw=True)
    house.close()
    at = with_key(making)
    at.text_input(key="evidence_by").set_value("AB")
    at.text_input(key="evidence_passphrase").set_value(PASSPHRASE)
    at = pressed(at, "Make the file")
    assert not at.exception
    assert any("Left out" in warning.value for warning in at.warning)


def test_the_chosen_lot_stays_chosen_while_plates_are_kept(making: AppTest) -> None:
    house = open_house()
    keep(house, 1, batch="one", lot=None)
    keep(house, 2, batch="two", lot=None)
    at = with_key(making)
    lot = at.selectbox(key="evidence_lot")
    lot.set_value(next(one for one in lot.options if "Batch one" in one)).run()
    keep(house, 3, batch="one", lot=None)
    keep(house, 4, batch="two", lot=None)
    house.close()
    at.run()
    assert not at.exception
    assert set(at.dataframe[0].value["Batch"]) == {"one"}
    assert len(at.dataframe[0].value) == 2


@pytest.fixture
def checking(page: Page) -> AppTest:
    at = page().switch_page(str(FOLDER / "check_evidence.py")).run()
    assert not at.exception
    at.checkbox(key="check_grading").set_value(False)
    return at


def checked(at: AppTest, data: bytes) -> AppTest:
    at.file_uploader(key="check_file").set_value([("claim.zip", data, "application/zip")]).run()
    return at.button(key="check_asked").click().run()


def test_a_stranger_checks_a_file(checking: AppTest, tmp_path: Path) -> None:
    here = cases.house(tmp_path / "theirs")
    good = cases.bundle(here)
    checking.text_input(key="check_key").set_value(here.key.public.spoken)
    at = checked(checking, good)
    assert not at.exception
    assert "holds as far as was checked" in at.success[0].value
    told = " ".join(markdown.value for markdown in at.markdown)
    assert "The key is the one whose fingerprint you gave" in told
    assert "only who was present can say that" in told
    assert any("Invented" in info.value for info in at.info)


def test_a_stranger_sees_what_does_not_hold(checking: AppTest, tmp_path: Path) -> None:
    good = cases.bundle(cases.house(tmp_path / "theirs"))
    checking.text_input(key="check_lot").set_value("OM-0999")
    at = checked(checking, good)
    assert "does not hold" in at.error[0].value
    checking.text_input(key="check_head").set_value("abc")
    assert "The hash that you gave is no SHA" in checked(checking, good).error[0].value
    checking.text_input(key="check_head").set_value("")
    at = checked(checking, good[:-7])
    assert not at.exception
    assert "1 of 1 checks failed" in at.error[0].value
    assert not at.success
