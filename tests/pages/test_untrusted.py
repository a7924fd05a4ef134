"""What somebody hands in or types is never taken for more than it is: no bomb is unpacked, no markup shown, no path."""

import re
import struct
import zlib
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.photo import Photo
from grader.places import HOME_VARIABLE
from grader.records.database import open_house
from grader.records.database.reading import Wanted, batches_page, plates_page
from grader.records.house_values import HouseValues, keep_house_values
from tests.pages.conftest import ROOT, Page
from tests.pages.test_at_the_pass import PASS, shoot
from tests.pages.test_judge_a_batch import shown
from tests.records import made_up

MARKUP = "<img src=x onerror=alert(1)>"
NAME = f"{MARKUP}'); DROP TABLE plate; --"
PHOTO_NAME = f"../../{MARKUP}.jpg"


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


def a_bomb(side_px: int) -> bytes:
    """A whole PNG of a few hundred kilobytes that says it is this large, and unpacks to it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side_px, side_px, 8, 0, 0, 0, 0)
    packer = zlib.compressobj(9)
    row = b"\0" * (side_px + 1)
    rows = b"".join(packer.compress(row) for _ in range(side_px)) + packer.flush()
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_picture_that_would_unpack_to_gigabytes_is_refused_by_its_header(monkeypatch: pytest.MonkeyPatch) -> None:
    unpacked: list[object] = []
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", lambda *told: unpacked.append(told))
    bomb = a_bomb(20_000)
    assert len(bomb) < 1_000_000
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()
    told = shown(shoot(at.switch_page(PASS).run(), ("bomb.png", bomb, "image/png"))).replace("\\", "")
    assert "This photo can't be used" in " ".join(one.value for one in at.subheader)
    assert "pixels" in told
    assert not unpacked


def test_names_with_markup_sql_and_paths_are_names(page: Page, own_home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def read(data: bytes, *, name: str) -> Photo:
        assert data
        return replace(made_up.photo(), name=name)

    monkeypatch.setattr("grader.pages.components.grading.read_photo", read)
    keep_house_values(HouseValues(kitchen=NAME, zone="Europe/Lisbon", shift=MARKUP, by="<b>"))
    at = shoot(page().switch_page(PASS).run(), (PHOTO_NAME, b"one", "image/jpeg"))
    assert "1 plate kept" in shown(at)
    with closing(open_house()) as house:
        (plate,), (batch,) = plates_page(house, Wanted()), batches_page(house, Wanted(kitchen=NAME))
        with house.reading() as connection:
            assert connection.execute(text("SELECT count(*) FROM plate")).scalar_one() == 1
    assert (plate.kitchen, batch.shift) == (NAME, MARKUP)
    outside = [file for file in own_home.parent.rglob("*") if file.is_file() and not file.is_relative_to(own_home)]
    assert not [file for file in outside if "onerror" in file.name]
    batches = at.switch_page(str(Path(pages.__file__).parent / "batches.py")).run()
    batches.selectbox(key="list_batch").select_index(0).run()
    for shown_on in (at, batches):
        assert not shown_on.exception
        bodies = [one.proto.body for one in shown_on.get("html")]
        assert not [body for body in bodies if MARKUP in body]
        for markdown in (*shown_on.markdown, *shown_on.caption):
            assert not markdown.allow_html or MARKUP not in markdown.value
            assert not re.search(r"(?<!\\)<img", markdown.value)
