"""The command that holds a photo of the card alone against the first ones."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from tests.consistency.control_photos import CARD, pixels, png

Call = Callable[..., Result]


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))


def test_photos_are_kept_and_told(call: Call, tmp_path: Path) -> None:
    for number in range(1, 7):
        (tmp_path / f"{number}.png").write_bytes(png(pixels(CARD, number=number)))
    told = [
        call("consistency", "control", tmp_path / f"{number}.png", "--phone", "one", "--first", "5")
        for number in range(1, 7)
    ]
    assert all(one.exit_code == 0 for one in told), told[0].output
    assert "1 of 5 photos that set what is usual. 4 more to take." in told[0].stdout
    assert "The card looks as usual." in told[5].stdout
    done = call(
        "consistency", "control", tmp_path / "6.png", "--phone", "one", "--json", "--chart", tmp_path / "row.svg"
    )
    assert json.loads(done.stdout)["state"] == "as_usual"
    assert "Patches as corrected, CIELAB" in (tmp_path / "row.svg").read_text()


def test_what_is_no_photo_is_told(call: Call, tmp_path: Path) -> None:
    (tmp_path / "no.png").write_bytes(b"no picture")
    done = call("consistency", "control", tmp_path / "no.png")
    assert done.exit_code == 2
    assert call("consistency", "control", tmp_path / "none.png").exit_code == 2
