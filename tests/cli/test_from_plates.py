"""A standard from plates by the command line: what lies in which folder, what is told and written."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import Result

from grader.arrays import frozen
from grader.cli.exits import Exit
from grader.fries import Plate
from grader.fries.model import Colour
from grader.grading import GradedPhoto, Progress
from grader.standard import load_shipped, read_standard
from grader.standard.model import Standard
from tests.records import made_up

Call = Callable[..., Result]
STEPS = ("pale", "gold", "dark")
NAMED = ("--step", "pale", "--step", "gold", "--step", "dark", "--right", "gold")
COLOURS = {"pale": (72.0, 0.0, 24.0), "gold": (61.0, 7.0, 35.0), "dark": (46.0, 13.0, 30.0), "near": (70.0, 1.2, 26.2)}


def plate_of(lab: tuple[float, float, float], *, fries: int) -> Plate:
    one = made_up.fry(1, y=100.0, lab=lab)
    assert one.colour is not None
    colour = Colour(lab=frozen(np.array(lab)), shared=one.colour.shared, own_u=one.colour.own_u)
    whole = tuple(replace(one, number=number + 1, colour=colour) for number in range(fries))
    return Plate(fries=whole, labels=frozen(np.zeros((0, 0), np.uint16)), heaped=False)


@pytest.fixture(autouse=True)
def painted_grading(monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo's bytes say the colour of its fries, and how far it is off in L*."""

    def grade_photo(data: bytes, *, name: str, progress: Progress | None = None, **_: object) -> GradedPhoto:
        if progress is not None:
            progress(0.5, "finding the fries")
        words = data.decode().split()
        if words[0] == "refused":
            return made_up.refused(name)
        L, a, b = COLOURS[words[0]]
        plate = plate_of((L + float(words[1]), a, b), fries=int(words[2]) if len(words) > 2 else 12)
        graded = made_up.graded(name)
        assert graded.sheet is not None
        card = words[3] if len(words) > 3 else "A6 card"
        sheet = replace(graded.sheet, layout=replace(graded.sheet.layout, name=card))
        return replace(graded, plate=plate, sheet=sheet, reasons=())

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)


def lay(top: Path, plates: Mapping[str, Sequence[str]]) -> Path:
    for step, photos in plates.items():
        (top / step).mkdir(parents=True)
        for number, content in enumerate(photos):
            (top / step / f"{step}{number}.jpg").write_text(content)
    return top


def clear(step: str) -> list[str]:
    return [f"{step} {off}" for off in (-0.5, 0.1, 0.4)]


def read(file: Path) -> Standard:
    return read_standard(file.read_text(encoding="utf-8"), name=file.name)


def test_a_standard_is_written_and_its_steps_told(call: Call, tmp_path: Path) -> None:
    top, out = lay(tmp_path / "plates", {step: clear(step) for step in STEPS}), tmp_path / "house.toml"
    (top / "odd").mkdir()
    result = call("standard-from-plates", top, *NAMED, "--out", out, "--name", "Invented house", "--version", "3")
    assert result.exit_code == Exit.DONE, result.output
    made = read(out)
    assert [(step.name, step.lab) for step in made.scale.steps] == [(step, COLOURS[step]) for step in STEPS]
    assert (made.name, made.version) == ("Invented house", "3")
    assert made.cut == load_shipped()["strips-9.5mm-skin-on"].cut
    assert made.scale.target_from == pytest.approx(1.5, abs=0.1)
    assert made.scale.target_to == pytest.approx(2.5, abs=0.1)
    assert "3 pale, 3 gold, 3 dark" in made.note
    assert "9 of 9 plates were put on their own step" in " ".join(result.stdout.split())
    assert "the folder odd" in result.stdout
    assert "!" not in result.stdout
    assert "different cards" not in result.stdout


def test_json_holds_all_that_is_told_and_nothing_else(call: Call, tmp_path: Path) -> None:
    top = lay(
        tmp_path / "plates", {"pale": clear("pale"), "gold": [*clear("gold"), "refused 1"], "dark": clear("dark")}
    )
    (top / "odd").mkdir()
    out = tmp_path / "house.toml"
    result = call("standard-from-plates", top, *NAMED, "--out", out, "--json")
    assert result.exit_code == Exit.DONE, result.output
    told = json.loads(result.stdout)
    assert [(step["name"], step["plates"]) for step in told["steps"]] == [("pale", 3), ("gold", 3), ("dark", 3)]
    scale = read(out).scale
    assert (told["target_from"], told["target_to"], told["off_scale_de"]) == (
        scale.target_from,
        scale.target_to,
        scale.off_scale_de,
    )
    assert [step["lab"] for step in told["steps"]] == [list(step.lab) for step in scale.steps]
    assert told["held_out"]["put"]["gold"] == {"pale": 0, "gold": 3, "dark": 0}
    assert [(pair["paler"], pair["darker"]) for pair in told["neighbours"]] == [("pale", "gold"), ("gold", "dark")]
    assert told["standing"]["colour"] == "trend only"
    assert "the folder odd" in told["left_out"][0]
    assert told["photos"][0]["photo"] == "gold/gold3.jpg"
    assert told["written"] == str(out)


def test_json_tells_what_went_wrong_too(call: Call, tmp_path: Path) -> None:
    top = lay(tmp_path / "plates", {"pale": clear("pale"), "gold": ["gold 0"], "dark": clear("dark")})
    result = call("standard-from-plates", top, *NAMED, "--out", tmp_path / "house.toml", "--json")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert '"gold" has 1' in json.loads(result.stdout)["error"]["message"]


def test_steps_that_can_not_be_told_apart_are_warned_of(call: Call, tmp_path: Path) -> None:
    top = lay(tmp_path / "plates", {"pale": clear("pale"), "gold": clear("near"), "dark": clear("dark")})
    out = tmp_path / "house.toml"
    result = call("standard-from-plates", top, *NAMED, "--out", out)
    said = " ".join(result.stdout.split())
    assert result.exit_code == Exit.DONE
    assert read(out).scale.steps[1].lab == COLOURS["near"]
    assert '! "pale" and "gold" can\'t be told apart' in said


def test_plates_beside_different_cards_are_told(call: Call, tmp_path: Path) -> None:
    plates = {step: clear(step) for step in STEPS} | {"dark": [f"dark {off} 12 mat" for off in (-0.5, 0.1, 0.4)]}
    result = call("standard-from-plates", lay(tmp_path / "plates", plates), *NAMED, "--out", tmp_path / "house.toml")
    assert result.exit_code == Exit.DONE
    assert "All plates: They lie beside different cards, not all of them measured (A6 card, mat)" in " ".join(
        result.stdout.split()
    )


def test_what_no_standard_can_hold_is_told_and_not_written(call: Call, tmp_path: Path) -> None:
    plates = {"pale": clear("gold"), "gold": [f"pale {off}" for off in (0, 1, 2)], "dark": clear("dark")}
    out = tmp_path / "house.toml"
    result = call("standard-from-plates", lay(tmp_path / "plates", plates), *NAMED, "--out", out)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert 'The plates of "gold" are not darker than those of "pale"' in " ".join(result.stderr.split())
    assert "held-out plates of" in result.stdout
    assert not out.exists()


def test_too_few_photos_are_refused_before_any_is_graded(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("grader.records.guarded.grade_photo", None)
    plates = {"pale": clear("pale"), "gold": ["gold 0"], "dark": ["dark 0", "dark 0"]}
    result = call("standard-from-plates", lay(tmp_path / "plates", plates), *NAMED, "--out", tmp_path / "house.toml")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert '"gold" has 1, "dark" has 1' in result.stderr


def test_plates_that_were_refused_do_not_count(call: Call, tmp_path: Path) -> None:
    plates = {"pale": clear("pale"), "gold": ["gold 0", "refused 1", "gold 0 4"], "dark": clear("dark")}
    out = tmp_path / "house.toml"
    result = call("standard-from-plates", lay(tmp_path / "plates", plates), *NAMED, "--out", out)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "gold/gold1.jpg: " in result.stdout
    assert "gold/gold2.jpg: Left out: too few fries" in result.stdout
    assert '"gold" has 1' in result.stderr
    assert not out.exists()


@pytest.mark.parametrize(
    ("plates", "words"),
    [
        ({"pale": ["pale 0"], "gold": ["gold 0"]}, "no folder in"),
        ({"pale": ["pale 0", "pale 1"], "gold": ["gold 0", "pale 1"], "dark": []}, "are the same photo"),
    ],
)
def test_folders_that_say_two_things_are_refused(
    call: Call, tmp_path: Path, plates: dict[str, Sequence[str]], words: str
) -> None:
    result = call("standard-from-plates", lay(tmp_path / "plates", plates), *NAMED, "--out", tmp_path / "house.toml")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert words in " ".join(result.stderr.split())


def test_a_standard_that_is_there_is_never_written_over(call: Call, tmp_path: Path) -> None:
    out = tmp_path / "house.toml"
    out.write_text("kept")
    result = call("standard-from-plates", lay(tmp_path / "plates", {"pale": []}), *NAMED, "--out", out)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert out.read_text() == "kept"
