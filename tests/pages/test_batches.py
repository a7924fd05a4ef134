"""Kept batches on the page: found, opened, taken along."""

import io
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.places import HOME_VARIABLE
from grader.records.database import open_house
from tests.pages.test_judge_a_batch import shown
from tests.records.database.conftest import keep

Page = Callable[[], AppTest]
BATCHES = str(Path(pages.__file__).parent / "batches.py")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def batches(page: Page, home: Path) -> AppTest:
    assert not home.exists()
    with closing(open_house()) as house:
        keep(house, 1)
        keep(house, 2)
        keep(house, 3, batch="late one", shift="dinner", kitchen="Hill")
    at = page().switch_page(BATCHES).run()
    assert not at.exception
    return at


def test_nothing_kept_says_so(page: Page, home: Path) -> None:
    at = page().switch_page(BATCHES).run()
    assert not at.exception
    assert "Nothing was kept yet" in shown(at)
    assert not (home / "records").exists()


def test_batches_are_narrowed_by_kitchen_shift_and_lot(batches: AppTest) -> None:
    def listed() -> list[str]:
        return [] if not batches.dataframe else list(batches.dataframe[0].value["Batch"])

    assert sorted(listed()) == ["first", "late one"]
    batches.selectbox(key="list_kitchen").set_value("Hill").run()
    assert listed() == ["late one"]
    batches.text_input(key="list_shift").set_value("lunch").run()
    assert "No batch is like that" in shown(batches)


def test_a_batchs_plates_stand_side_by_side(batches: AppTest) -> None:
    place = list(batches.dataframe[0].value["Batch"]).index("first")
    batches.selectbox(key="list_batch").set_value(place).run()
    assert not batches.exception
    told = shown(batches)
    assert told.count("12 fries") == 2, "their made-up photos are no pictures; what was found is told"


def test_batches_that_are_called_alike_are_told_apart(page: Page, home: Path) -> None:
    with closing(open_house()) as house:
        keep(house, 1, batch="plates")
        keep(house, 2, batch="plates", kitchen="Hill")
        keep(house, 3, batch="plates", kitchen="Hill", fryer="2")
    at = page().switch_page(BATCHES).run()
    assert home.exists()
    kitchens = list(at.dataframe[0].value["Kitchen"])
    assert len(set(at.selectbox(key="list_batch").options)) == len(kitchens) == 3
    for place, kitchen in enumerate(kitchens):
        at.selectbox(key="list_batch").set_value(place).run()
        assert not at.exception
        assert at.subheader[0].value.startswith(kitchen)


def test_lots_are_told_and_the_records_can_be_taken_along(batches: AppTest) -> None:
    assert "Invented Growers" in list(batches.dataframe[1].value["Supplier"])
    batches.button(key="export_write").click().run()
    assert not batches.exception
    packed = zipfile.ZipFile(io.BytesIO(batches.session_state["export_files"]))
    assert {"plates.csv", "fries.csv", "decisions.csv", "events.csv"} <= set(packed.namelist())
    assert b"Harbour" in packed.read("plates.csv")
