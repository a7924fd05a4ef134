"""What is logged carries no names: flows with marked cooks, kitchens, suppliers, paths and codes, and then a search."""

import http.client
import logging
import os
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

import grader.records.guarded
from grader.cli.serving import serve_command
from grader.evidence.arrivals import Chainer
from grader.evidence.journal import Journal
from grader.fault_log import log_fault
from grader.outlines import OutlinedPhoto
from grader.pages.components.plain_words import plain_words
from grader.places import HOME_VARIABLE
from grader.records.database import LotFacts, open_house
from grader.records.guarded import grade_guarded
from grader.serving.certificate import house_certificate
from grader.serving.here import COOKIE, PAIR_PATH, SERVED_VARIABLE
from grader.serving.pairing import Pairings, Place
from tests.pages.running import free_port, running
from tests.records.database.conftest import keep
from tests.records.made_up import standard

MARK = "Zaphira"
"""Stands in every name: of a cook, a kitchen, a supplier, a folder; in nothing that the program says by itself."""


@pytest.fixture
def logged(caplog: pytest.LogCaptureFixture) -> Iterator[pytest.LogCaptureFixture]:
    """All that anything logs, at every level, libraries included."""
    with caplog.at_level(logging.DEBUG):
        yield caplog


def _fails(*_: object, **__: object) -> None:
    try:
        os.environ[f"the supplier {MARK}"]
    except KeyError as error:
        raise ValueError(f"/home/{MARK}/photo.jpg") from error


def test_a_fault_is_told_by_kinds_and_places_alone(logged: pytest.LogCaptureFixture) -> None:
    try:
        _fails()
    except ValueError as error:
        log_fault(logging.getLogger("grader"), "grading", error, photo="ab" * 32)
    assert MARK not in logged.text
    assert "stopped the grading of the photo abababababababab." in logged.text
    assert "builtins.ValueError" in logged.text
    assert "builtins.KeyError" in logged.text
    assert f"tests/test_fault_log.py:{_fails.__code__.co_firstlineno + 4} in _fails" in logged.text
    assert str(Path(__file__).parents[2]) not in logged.text


def test_grading_and_the_page_log_no_names(logged: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grader.records.guarded, "grade_photo", _fails)
    graded = grade_guarded(b"a photo", name=f"{MARK}.jpg", standard=standard())
    assert graded.refused
    with plain_words():
        _fails()
    assert logged.text.count("ValueError") == 2
    assert MARK not in logged.text


def test_outlining_logs_no_names(
    logged: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from grader.cli import outlines_run

    monkeypatch.setattr(outlines_run, "outline_photo", _fails)
    photo = tmp_path / f"{MARK}.jpg"
    photo.write_bytes(b"a photo")
    told = outlines_run._outlined(photo, lambda *_: None)
    assert isinstance(told, OutlinedPhoto)
    assert "stopped the outlining" in logged.text
    assert MARK not in logged.text


def test_records_and_chain_log_no_names(logged: pytest.LogCaptureFixture, tmp_path: Path) -> None:
    home = tmp_path / MARK
    house = open_house(f"sqlite:///{home / 'records.sqlite3'}")
    lot = LotFacts(supplier=f"{MARK} Growers", number=MARK)
    keep(house, 1, kitchen=f"{MARK} kitchen", fryer=MARK, shift=MARK, batch=MARK, lot=lot, by=MARK)
    (home / "evidence").write_text("in the way of a folder")
    chainer = Chainer(house=house, journal=Journal(folder=home / "evidence"), after=0)
    assert MARK in chainer.chain()  # told to whoever sits there
    assert "not chained" in logged.text
    house.close()
    assert MARK not in logged.text


def test_a_databases_own_errors_tell_no_values(tmp_path: Path) -> None:
    house = open_house(f"sqlite:///{tmp_path / 'records.sqlite3'}")

    def twice(connection: Connection) -> None:
        rows = text("INSERT INTO person (initials, kept_at) VALUES (:by, :at)")
        for _ in range(2):
            connection.execute(rows, {"by": MARK, "at": "2026-11-02"})

    with pytest.raises(IntegrityError) as caught:
        house.write(twice)
    house.close()
    assert MARK not in str(caught.value)


@contextmanager
def _served(home: Path, log: Path) -> Iterator[int]:
    """The page behind its door, all comers to be paired."""
    port = free_port()
    certificate = house_certificate(home / "certificate", ["127.0.0.1"], now=datetime.now(UTC))
    command = serve_command("127.0.0.1", port, certificate)
    command[command.index("run") + 1] = str(Path(__file__).parent / "pages" / "paired_only.py")
    environment = {**os.environ, HOME_VARIABLE: str(home), SERVED_VARIABLE: f"https://127.0.0.1:{port}"}
    with running(command, port, log=log, environment=environment):
        yield port


def _asked(port: int, method: str, path: str, body: str = "", cookie: str = "") -> int:
    trusting = ssl.create_default_context()
    trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
    connection = http.client.HTTPSConnection("127.0.0.1", port, context=trusting, timeout=30)
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": f"{COOKIE}={cookie}"}
    connection.request(method, path, body or None, headers)
    status = connection.getresponse().status
    connection.close()
    return status


def test_the_served_page_logs_neither_codes_nor_tokens_nor_kitchens(tmp_path: Path) -> None:
    pairings = Pairings(tmp_path / "phones.json")
    until = datetime.now(UTC) + timedelta(hours=8)
    token = pairings.pair(
        pairings.new_code(Place(kitchen=f"{MARK} kitchen", zone="Europe/Lisbon", shift=MARK, until=until))
    )
    assert token is not None
    log = tmp_path / "log.txt"
    code = f"{MARK}code"
    with _served(tmp_path, log) as port:
        assert _asked(port, "GET", f"{PAIR_PATH}?{urlencode({'c': code})}") == 200
        assert _asked(port, "POST", PAIR_PATH, urlencode({"c": code})) == 403
        assert _asked(port, "GET", f"/judge_a_batch?c={code}") == 403
        assert _asked(port, "GET", "/", cookie=token) == 200
        assert _asked(port, "GET", f"/{MARK}", cookie=token) in {200, 404}
    told = log.read_text(encoding="utf-8", errors="replace")
    assert told  # it did log that it started
    assert MARK not in told
    assert token not in told
