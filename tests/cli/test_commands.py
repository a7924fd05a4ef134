import json
import re
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import cv2
import numpy as np
import pypdfium2 as pdfium
import pytest
from PIL import Image
from typer.testing import Result

from grader.card import Serial
from grader.card.imprint import DEFAULT_MONTHS, months_later
from grader.cli.commands import EXIT_CODES, app
from grader.cli.exits import Exit
from grader.cli.page import has_screen, page_command
from grader.places import calibration_folder

Call = Callable[..., Result]
COMMANDS = ("grade", "card", "check", "list", "demo", "chart-check", "card-drift", "standard-from-plates", "serve")


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
    assert json.loads(done.stdout).keys() == {"sheets", "standards", "designations", "sampling_plans"}


def test_a_machine_without_libgl_is_told_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from grader import cli

    monkeypatch.setattr(cli, "missing", lambda: "OpenCV needs libGL.so.1")
    with pytest.raises(SystemExit) as ended:
        cli.main()
    assert ended.value.code == Exit.FAULTY_INPUT
    assert capsys.readouterr().err == "OpenCV needs libGL.so.1\n"


def test_a_print_run_is_written_as_pdf(call: Call, tmp_path: Path) -> None:
    assert "-001-" in call("card", "mat-254", "--out", tmp_path / "mats.pdf").stdout
    assert len(pdfium.PdfDocument(tmp_path / "mats.pdf")) == 3  # two mats, one to keep in the dark, and advice
    told = call("card", "card-148", "--count", "3", "--run", "k7q2x", "--first", "14", "--out", tmp_path / "cards.pdf")
    assert "K7Q2X-014-T to K7Q2X-016-" in told.stdout
    assert "rule must be 100 mm long" in told.stdout
    document = pdfium.PdfDocument(tmp_path / "cards.pdf")
    words = [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    assert len(words) == 3
    today = datetime.now().astimezone().date()
    assert f"card-148 K7Q2X-015-{str(Serial('K7Q2X', 15))[-1]} printed {today} renew by" in words[0]
    assert "K7Q2X-016" in words[1]
    assert "run K7Q2X" in words[2]


def test_a_run_without_a_name_gets_one_of_its_own(call: Call, tmp_path: Path) -> None:
    names = {call("card", "--out", tmp_path / "card.pdf").stdout.split(", ")[2][:5] for _ in range(2)}
    assert len(names) == 2


def test_months_until_renewal_are_the_rooms_own_unless_told(call: Call, tmp_path: Path) -> None:
    today = datetime.now().astimezone().date()
    for told, months in ((), DEFAULT_MONTHS), (("--expires-months", "2"), 2):
        call("card", *told, "--out", tmp_path / "card.pdf")
        words = pdfium.PdfDocument(tmp_path / "card.pdf")[0].get_textpage().get_text_bounded()
        assert f"renew by {months_later(today, months)}" in " ".join(words.split())


def test_paper_is_chosen_or_refused(call: Call, tmp_path: Path) -> None:
    def size_mm(*told: str) -> list[float]:
        assert call("card", *told, "--out", tmp_path / "sheet.pdf").exit_code == Exit.DONE
        return [round(side * 25.4 / 72, 1) for side in pdfium.PdfDocument(tmp_path / "sheet.pdf")[0].get_size()]

    assert size_mm("card-148") == [210.0, 297.0]
    assert size_mm("card-148", "--paper", "letter") == [215.9, 279.4]
    assert size_mm("mat-254", "--paper", "letter") == [279.4, 215.9]
    assert size_mm("mat-396") == [420.0, 297.0]
    refused = call("card", "mat-396", "--paper", "a4", "--out", tmp_path / "none.pdf")
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "a3, tabloid, sra3" in " ".join(refused.stderr.split())
    assert not (tmp_path / "none.pdf").exists()


def test_a_sheet_is_written_as_a_picture_in_true_size(call: Call, tmp_path: Path) -> None:
    assert call("card", "mat-254", "--out", tmp_path / "mat.png").exit_code == Exit.DONE
    with Image.open(tmp_path / "mat.png") as picture:
        assert np.allclose(picture.info["dpi"], 300, atol=0.1)
        assert picture.size == (3000, round(186 / 25.4 * 300))  # 254 mm are ten inches


def test_the_printed_card_can_be_found_again(call: Call, tmp_path: Path) -> None:
    """Tags by OpenCV's own detector of the AprilTag 36h11 family."""
    call("card", "card-148", "--out", tmp_path / "card.png")
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    picture = cv2.imread(str(tmp_path / "card.png"))
    assert picture is not None
    corners, _, _ = detector.detectMarkers(picture)
    assert len(corners) >= 4


@pytest.mark.parametrize(
    ("told", "name", "words"),
    [
        (("card-z9",), "x.pdf", "card-148"),
        (("card-148",), "x.doc", ".pdf"),
        (("card-a6",), "x.pdf", "no longer printed"),
        (("mat-a4-inks",), "x.png", "no longer printed"),
        (("card-148", "--run", "OIL"), "x.pdf", "print run"),
        (("card-148", "--first", "999", "--count", "2"), "x.pdf", "new run"),
        (("card-148", "--count", "2"), "x.png", "one sheet"),
        (("card-148", "--paper", "papyrus"), "x.pdf", "papyrus"),
    ],
)
def test_what_cannot_be_printed_is_told(
    call: Call, tmp_path: Path, told: tuple[str, ...], name: str, words: str
) -> None:
    result = call("card", *told, "--out", tmp_path / name)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert words in " ".join(result.stderr.split())
    assert not (tmp_path / name).exists()


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
    assert json.loads(call("check", good, "--json").stdout).keys() >= {"name", "version", "sha256"}


def test_check_takes_a_shipped_name_and_tells_of_what_is_no_text(call: Call, tmp_path: Path) -> None:
    assert call("check", "strips-6.5mm-peeled").exit_code == Exit.DONE
    (tmp_path / "x.toml").write_bytes(b"name = 'a'\n\xff\xfe")
    result = call("check", tmp_path / "x.toml")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "line 2" in result.stderr
    assert call("check", tmp_path / "none.toml").exit_code == Exit.FAULTY_INPUT


def test_nothing_in_a_standard_makes_lines_of_its_own_on_a_terminal(call: Call, tmp_path: Path) -> None:
    shipped = calibration_folder() / "standards" / "strips-9.5mm-skin-on.toml"
    hostile = tmp_path / "standard.toml"
    orders = r"\u001b[8mno faults.\n"
    text = shipped.read_text(encoding="utf-8").replace('name = "', f'name = "{orders}', 1)
    hostile.write_text(text, encoding="utf-8")
    told = call("check", hostile)
    assert told.exit_code == Exit.DONE
    assert told.stdout.startswith("\ufffd[8mno faults.\ufffd")
    hostile.write_text(f'{text}["{orders}"]\nx = 1\n', encoding="utf-8")
    refused = call("check", hostile)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "\ufffd[8mno faults.\ufffd" in refused.stderr
    assert "\x1b" not in refused.stderr


def test_list_names_sheets_and_standards(call: Call) -> None:
    told = call("list").stdout
    assert all(name in told for name in ("card-148", "mat-254", "mat-396", "strips-9.5mm-skin-on"))
    assert "card-a6" not in told


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
