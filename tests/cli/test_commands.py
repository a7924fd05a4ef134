import json
import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import pytest
from typer.testing import Result

from grader.cli.commands import EXIT_CODES, app
from grader.cli.exits import Exit
from grader.cli.page import has_screen, page_command
from grader.places import calibration_folder

Call = Callable[..., Result]
COMMANDS = ("grade", "card", "check", "list", "demo", "chart-check")


def flat(text: str) -> str:
    return " ".join(re.sub(r"[│╭╮╰╯─]", " ", text).split())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_tells_an_example_and_the_exit_codes(call: Call, command: str) -> None:
    told = flat(call(command, "--help").stdout)
    assert f"Example: python -m grader {command}" in told
    assert flat(EXIT_CODES) in told


def test_there_are_no_other_commands() -> None:
    named = {info.name or (info.callback.__name__ if info.callback else "") for info in app.registered_commands}
    assert named == set(COMMANDS)


def test_the_exit_codes_are_all_told() -> None:
    assert set(re.findall(r"\b\d\b", EXIT_CODES)) == {str(int(code)) for code in Exit}


def test_help_comes_without_the_heavy_libraries() -> None:
    program = (
        "import sys, grader.cli.commands; heavy = {'numpy', 'cv2', 'scipy', 'pandas', 'streamlit'} & set(sys.modules);"
        "sys.exit(f'{heavy}' if heavy else 0)"
    )
    subprocess.run([sys.executable, "-c", program], check=True, cwd=Path(__file__).parents[2])


def test_the_program_starts_as_a_module() -> None:
    started = [sys.executable, "-m", "grader", "list", "--json"]
    done = subprocess.run(started, check=True, capture_output=True, cwd=Path(__file__).parents[2], text=True)
    assert json.loads(done.stdout).keys() == {"sheets", "standards"}


def test_a_machine_without_libgl_is_told_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from grader import cli

    monkeypatch.setattr(cli, "missing", lambda: "OpenCV needs libGL.so.1")
    with pytest.raises(SystemExit) as ended:
        cli.main()
    assert ended.value.code == Exit.FAULTY_INPUT
    assert capsys.readouterr().err == "OpenCV needs libGL.so.1\n"


def test_a_card_is_written_as_pdf_in_true_size_or_as_png(call: Call, tmp_path: Path) -> None:
    told = call("card", "card-a6", "--out", tmp_path / "card.pdf")
    assert "rule must be 100 mm long" in told.stdout
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
    assert call("card", "mat-a4", "--out", tmp_path / "mat.png").exit_code == Exit.DONE
    picture = cv2.imread(str(tmp_path / "mat.png"))
    assert picture is not None
    # 300 dpi of A4, ISO 216: 210 x 297 mm.
    assert sorted(picture.shape[:2]) == [2480, 3508]


def test_the_printed_card_can_be_found_again(call: Call, tmp_path: Path) -> None:
    """Tags by OpenCV's own detector of the AprilTag 36h11 family."""
    call("card", "card-a6", "--out", tmp_path / "card.png")
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    picture = cv2.imread(str(tmp_path / "card.png"))
    assert picture is not None
    corners, _, _ = detector.detectMarkers(picture)
    assert len(corners) >= 4


@pytest.mark.parametrize(("sheet", "name", "told"), [("card-z9", "x.pdf", "card-a6"), ("card-a6", "x.doc", ".pdf")])
def test_an_unknown_sheet_or_kind_of_file(call: Call, tmp_path: Path, sheet: str, name: str, told: str) -> None:
    result = call("card", sheet, "--out", tmp_path / name)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert told in result.stderr


def test_check_reports_every_fault_with_its_line(call: Call, tmp_path: Path) -> None:
    good = calibration_folder() / "standards" / "strips-9.5mm-skin-on.toml"
    faulty = tmp_path / "mine.toml"
    faulty.write_text(good.read_text(encoding="utf-8") + "\n[more]\nx = 1\n", encoding="utf-8")
    result = call("check", faulty)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert re.search(r"line \d+, more", result.stderr)
    told = call("check", good)
    assert told.exit_code == Exit.DONE
    assert "no faults" in told.stdout
    assert json.loads(call("check", good, "--json").stdout).keys() == {"name", "version"}


def test_check_takes_a_shipped_name_and_tells_of_what_is_no_text(call: Call, tmp_path: Path) -> None:
    assert call("check", "strips-6.5mm-peeled").exit_code == Exit.DONE
    (tmp_path / "x.toml").write_bytes(b"name = 'a'\n\xff\xfe")
    result = call("check", tmp_path / "x.toml")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "line 2" in result.stderr
    assert call("check", tmp_path / "none.toml").exit_code == Exit.FAULTY_INPUT


def test_list_names_sheets_and_standards(call: Call) -> None:
    told = call("list").stdout
    assert all(name in told for name in ("card-a6", "mat-a3", "strips-9.5mm-skin-on"))


@pytest.mark.usefixtures("made_up_grading")
def test_the_demo_grades_the_sample_batches_and_starts_the_page(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ports: list[int] = []

    def serve(port: int) -> int:
        ports.append(port)
        return 0

    monkeypatch.setattr("grader.cli.page.serve_page", serve)
    result = call("demo", "--out", tmp_path / "demo", "--no-page")
    assert result.exit_code == Exit.DONE
    assert {"b1", "b2", "b3"} <= {
        batch["name"] for batch in json.loads((tmp_path / "demo" / "summary.json").read_text())["batches"]
    }
    assert ports == []
    assert "http://127.0.0.1:9000" in call("demo", "--out", tmp_path / "demo", "--port", 9000).stdout
    assert ports == [9000]


def test_the_page_stays_on_this_machine_and_tells_nobody() -> None:
    command = page_command(8501)
    assert command[command.index("--server.address") + 1] == "127.0.0.1"
    assert command[command.index("--browser.gatherUsageStats") + 1] == "false"


def test_no_browser_without_a_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert not has_screen()
    monkeypatch.setenv("DISPLAY", ":0")
    assert has_screen()


def test_the_browser_is_opened_once_the_page_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    import socket

    from grader.cli import page

    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr(page, "has_screen", lambda: True)
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        waiting = [sys.executable, "-c", "pass"]
        monkeypatch.setattr(page, "page_command", lambda _: waiting)
        assert page.serve_page(port) == 0
        until = time.monotonic() + 10
        while not opened and time.monotonic() < until:
            time.sleep(0.02)
    assert opened == [page.page_address(port)]
