"""The project as a whole: its files, its sample pictures, its README and its commands hold together."""

import hashlib
import re
import subprocess
import tomllib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "app.py",
    "grader",
    "calibration",
    "tests",
    "sample_images",
}
UNLISTED = {
    "registry.toml",
    "scenario.toml",
    "b3-plate1.graded.jpg",
    "page-at-the-pass.jpg",
    "page-refused.jpg",
    "page-strip.jpg",
}
LINES_AT_MOST = 400
SAMPLE_BYTES_AT_MOST = 20_000_000


def project_files() -> tuple[Path, ...]:
    """Every file of the project, committed or new, relative to its root; what git ignores is none."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return tuple(Path(name) for name in listed.split("\0") if name and (ROOT / name).is_file())


def texts() -> Iterator[tuple[Path, str]]:
    """Every file that is text."""
    for path in project_files():
        try:
            yield path, (ROOT / path).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


def readme_commands() -> list[str]:
    """The lines of code in README's section "Set up"."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = re.split(r"^## ", readme, flags=re.MULTILINE)
    here = next(part for part in section if part.startswith("Set up\n"))
    blocks = re.findall(r"^```sh\n(.*?)^```", here, flags=re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


# --- the tree ---


def test_top_level_holds_only_what_it_may() -> None:
    top = {path.parts[0] for path in project_files()}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


def test_nothing_speaks_of_what_the_project_does_not_know() -> None:
    # Put together here, so that this file doesn't hold them itself.
    forbidden = re.compile(
        "|".join(["tran" + "script", "seed" + " document", "/wor" + "k/", "shared/" + "plates"]), re.IGNORECASE
    )
    found = [
        f"{path}: {match[0]}" for path, text in texts() if path.parts[0] != ".ci" for match in forbidden.finditer(text)
    ]
    assert not found


def test_modules_are_short_enough_to_read() -> None:
    lengths = {
        path: len((ROOT / path).read_text(encoding="utf-8").splitlines())
        for path in project_files()
        if path.suffix == ".py"
    }
    assert lengths
    assert not {
        str(path): n for path, n in lengths.items() if path.parts[0] in {"grader", "app.py"} and n > LINES_AT_MOST
    }


def test_no_window_is_opened() -> None:
    """A kitchen's server has no screen: OpenCV's windows are not used anywhere."""
    window = re.compile(r"cv2\.(imshow|waitKey|namedWindow|destroyAllWindows|selectROI)\b")
    assert not [str(path) for path, text in texts() if path.parts[0] in {"grader", "app.py"} and window.search(text)]


# --- the sample pictures ---


def test_every_sample_is_what_the_registry_says(samples: Path, registry: dict[str, Any]) -> None:
    for entry in (*registry["photo"], *registry["truth"]):
        data = (samples / entry["file"]).read_bytes()
        assert len(data) == entry["bytes"], entry["file"]
        assert hashlib.sha256(data).hexdigest() == entry["sha256"], entry["file"]


def test_nothing_lies_unlisted_among_the_samples(samples: Path, registry: dict[str, Any]) -> None:
    listed = [entry["file"] for entry in (*registry["photo"], *registry["truth"])]
    assert len(set(listed)) == len(listed)
    here = {
        path.relative_to("sample_images").as_posix() for path in project_files() if path.parts[0] == "sample_images"
    }
    assert here - UNLISTED == set(listed)
    assert sum((samples / name).stat().st_size for name in listed) <= SAMPLE_BYTES_AT_MOST


def test_every_sample_is_marked_invented_and_has_its_truth(registry: dict[str, Any]) -> None:
    truth = {entry["file"] for entry in registry["truth"]}
    for entry in registry["photo"]:
        assert entry["made"] == "rendered, invented"
        assert entry["shows"]
        assert (entry["expect"] == "refused") == ("reason" in entry)
        folder, _, name = entry["file"].partition("/")
        stem = name.removesuffix(".jpg")
        assert {f"{folder}/truth/{stem}.json", f"{folder}/truth/{stem}.mask.png"} <= truth
    assert len(truth) == 2 * len(registry["photo"])


def _taken_at(photo: Path) -> datetime:
    with Image.open(photo) as picture:
        return datetime.strptime(picture.getexif().get_ifd(0x8769)[0x9003], "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - EXIF


def test_the_scenario_is_marked_invented_and_fits_the_samples(samples: Path, registry: dict[str, Any]) -> None:
    scenario = tomllib.loads((samples / "scenario.toml").read_text(encoding="utf-8"))
    assert scenario["invented"] is True
    for named in (scenario["house"], *scenario["kitchen"], *scenario["supplier"]):
        assert named["name"].endswith("(invented)")
    kitchens = {kitchen["name"] for kitchen in scenario["kitchen"]}
    shifts = {shift["name"]: shift for shift in scenario["shift"]}
    lots = {lot["number"]: lot for lot in scenario["lot"]}
    suppliers = {supplier["name"] for supplier in scenario["supplier"]}
    assert {lot["supplier"] for lot in lots.values()} <= suppliers
    for batch in scenario["batch"]:
        assert batch["kitchen"] in kitchens
        assert batch["shift"] in shifts
        assert lots[batch["lot"]]["received"] <= batch["day"]
        for photo in (samples / batch["folder"]).glob("*.jpg"):
            taken = _taken_at(photo)
            assert taken.date() == batch["day"]
            assert shifts[batch["shift"]]["starts"] <= taken.time() <= shifts[batch["shift"]]["ends"]
    assert {batch["folder"] for batch in scenario["batch"]} == {batch["folder"] for batch in registry["batch"]}


def test_the_standards_that_the_samples_name_ship(samples: Path, registry: dict[str, Any]) -> None:
    from grader.standard import load_shipped

    scenario = tomllib.loads((samples / "scenario.toml").read_text(encoding="utf-8"))
    named = {scenario["house"]["standard"], *(batch["standard"] for batch in registry["batch"])}
    assert named <= set(load_shipped())


# --- README, CI, commands ---


def test_readme_sets_up_in_two_commands_and_ci_runs_just_those() -> None:
    run, test = readme_commands()
    assert run.startswith("python3 -m venv .venv && ")
    assert " -m grader " in run
    assert "--group test" in test
    assert test.endswith("-m pytest")
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert '"## Set up"' in script
    assert "pip install -e" not in script


def test_readme_names_the_system_packages_that_ci_installs() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    needed = re.search(r"^needed=\((.*)\)$", (ROOT / ".ci" / "run").read_text(encoding="utf-8"), re.MULTILINE)
    assert needed is not None
    for package in set(needed[1].split()) - {"fonts-liberation"}:  # fonts only make the screenshots legible
        assert re.search(rf"apt-get install -y [^`]*\b{re.escape(package)}\b", readme), package


def test_every_file_that_readme_and_developers_name_is_there() -> None:
    for document in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / document).read_text(encoding="utf-8")
        named = set(re.findall(r"`((?:grader|tests|calibration|sample_images)/[\w./-]*)`", text))
        named |= set(re.findall(r"\]\((?!http)([\w./-]+)\)", text))
        assert named
        assert not [name for name in named if not (ROOT / name).exists()], document


def _commands() -> dict[str, Any]:
    """Every command of the command line by the words that call it."""
    from typer.main import get_command

    from grader.cli.commands import app

    found: dict[str, Any] = {}

    def walk(command: Any, words: tuple[str, ...]) -> None:
        below = getattr(command, "commands", None)
        if below is None:
            found[" ".join(words)] = command
            return
        for name, one in below.items():
            walk(one, (*words, name))

    walk(get_command(app), ())
    return found


def test_every_command_has_help_with_an_example() -> None:
    commands = _commands()
    assert "grade" in commands
    for words, command in commands.items():
        help_text = f"{command.help}\n{command.epilog}"
        assert "Example" in help_text, words
        assert f"python -m grader {words}" in help_text, words


def test_readme_names_every_command_and_no_other() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = set(re.findall(r"^\| `python -m grader ([a-z-]+(?: [a-z-]+)*)", readme, re.MULTILINE))
    assert table == set(_commands())


def test_readme_tells_every_exit_code() -> None:
    from grader.cli.exits import Exit

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert {int(code) for code in re.findall(r"^\| (\d) \|", readme, re.MULTILINE)} == {int(code) for code in Exit}


@pytest.mark.slow
def test_the_wheel_holds_what_the_program_reads(tmp_path: Path) -> None:
    import sys
    import zipfile

    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(tmp_path), str(ROOT)]
    subprocess.run(command, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    assert {"grader/LICENSE", "grader/_app.py", "grader/_sample_images/registry.toml"} <= names
    for part in ("layouts", "standards"):
        assert any(name.startswith(f"grader/_calibration/{part}/") for name in names)
    assert not any(name.startswith("tests/") for name in names)
