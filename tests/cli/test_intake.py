import re
from pathlib import Path

import numpy as np
import pytest

from grader.cli.exits import Exit
from grader.line.lot_fry_table import read_strips
from tests.cli.conftest import Call
from tests.cli.test_sampling import said
from tests.cli.test_trial import fried as fried_trial


def test_tubers_weighed_in_air_and_water(call: Call) -> None:
    told = said(call("intake", "weigh", 3600, 262))
    assert "Specific gravity 1.0785 ± 0.0006" in told
    assert "Dry matter 19.9 ± 1.0 %" in told
    assert "of finished fries" in told
    assert "common practice" in told


def test_what_is_no_potato_is_refused(call: Call) -> None:
    refused = call("intake", "weigh", 3600, 1200)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "basket" in refused.stderr


def test_salt_for_baths(call: Call) -> None:
    told = said(call("intake", "bath", 1.070, 1.080, "--litres", 10))
    assert "Specific gravity 1.080: 1234 g of salt to 10 l of water." in told
    assert "into hot oil" in told


def test_a_float_test(call: Call) -> None:
    told = said(call("intake", "float", 3, 9, 6, 2, "--bath", 1.070, "--bath", 1.080, "--bath", 1.090))
    assert "Mean specific gravity of the lot 1.0" in told
    assert "(20 tubers)" in told
    assert "mix a bath beyond" not in told
    assert "mix a bath beyond" in said(call("intake", "float", 12, 0, "--bath", 1.070))
    assert call("intake", "float", 2, 1, "--bath", 1.070).exit_code == Exit.FAULTY_INPUT


@pytest.mark.parametrize(
    ("masses", "says"),
    [
        ((), "weigh 284 g each"),
        ((200, 210, 190, 205, 195, 200), "Lighter"),
        ((300, 280, 290, 250, 310, 270), "Not shown"),
    ],
)
def test_a_carton(call: Call, masses: tuple[int, ...], says: str) -> None:
    assert says in said(call("intake", "carton", 80, *masses))


def fried(table: Path, darker: float) -> None:
    rng = np.random.default_rng(1)
    header, *rows = table.read_text(encoding="utf-8").splitlines()
    tubers: dict[tuple[str, str], float] = {}
    filled = [header]
    for row in rows:
        basket, lot, carton, tuber, *_ = row.split(",")
        level = tubers.setdefault((lot, tuber), float(rng.normal(0, 0.3))) + darker * (lot == "new") + 0.1 * int(basket)
        end = "yes" if lot == "new" and int(tuber) <= 6 else "no"
        filled.append(f"{basket},{lot},{carton},{tuber},{4 + level + 0.1 * rng.normal():.2f},{end}")
    table.write_text("\n".join(filled), encoding="utf-8")


def test_a_lot_test_fry_from_plan_to_result(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "lot.csv"
    told = said(call("intake", "plan-fry", table))
    assert "80 strips" in told
    assert "Hot oil and hot water burn" in told
    fried(table, 0.7)
    told = said(call("intake", "read-fry", table))
    assert "The new lot fries darker." in told
    assert "new lot: 6 of 20 tubers, so 12% to 54% of the lot" in told
    assert "kept lot: 0 of 20 tubers, so 0% to 17% of the lot" in told
    assert "Alike enough" in said(call("intake", "read-fry", table, "--worth", 2))


def test_a_table_that_is_not_filled_in_is_refused_line_by_line(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "lot.csv"
    call("intake", "plan-fry", table)
    refused = call("intake", "read-fry", table)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "line 2" in refused.stderr
    assert "line 81" in refused.stderr
    assert call("intake", "plan-fry", table).exit_code == Exit.NOT_WRITTEN
    assert call("intake", "plan-fry", tmp_path / "few.csv", "--tubers", 5).exit_code == Exit.FAULTY_INPUT


def test_every_basket_of_a_plan_holds_both_lots_and_several_cartons(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "lot.csv"
    call("intake", "plan-fry", table)
    rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()[1:]]
    for basket in {row[0] for row in rows}:
        here = [row for row in rows if row[0] == basket]
        assert {row[1] for row in here} == {"new", "kept"}
        assert len({row[2] for row in here}) == 4


def test_the_answer_with_todays_time_and_the_published_numbering(call: Call, tmp_path: Path) -> None:
    table, plates, numbered = tmp_path / "lot.csv", tmp_path / "trial.csv", tmp_path / "numbered.csv"
    call("intake", "plan-fry", table)
    fried(table, 0.7)
    told = said(call("intake", "read-fry", table))
    assert "Can this lot make the house's fry? No." in told
    assert "No time mends them" in told
    assert "For its time today give --trial" in told
    call("trial", "plan", plates, "--guess", 220, "--celsius", 170)
    fried_trial(plates)
    told = said(call("intake", "read-fry", table, "--trial", plates, "--seconds", 220, "--celsius", 170))
    today = re.search(r"Today's time for it: (\d+) s at 170 C \(a good lot: 220 s\)", told)
    assert today is not None
    assert 120 < int(today[1]) < 200
    assert call("intake", "read-fry", table, "--seconds", 220).exit_code == Exit.FAULTY_INPUT
    header, *rows = table.read_text(encoding="utf-8").split()
    lines = [f"{header},number,stem_number", *(f"{row},1.2,{3.4 if ',yes' in row else 1.1}" for row in rows)]
    numbered.write_text("\n".join(lines), encoding="utf-8")
    told = said(call("intake", "read-fry", numbered))
    assert "new lot: body 1.2, stem end 1.8; 6 of 20 tubers have" in told
    assert "Valley Potato Grower" in told


def planned_basket(table: Path, strips: int) -> None:
    rows = [f"1,{'new' if turn % 2 else 'kept'},1,{turn}" for turn in range(strips)]
    table.write_text("\n".join(["basket,lot,carton,tuber,place,sugar_end", *rows]), encoding="utf-8")


def test_strips_are_scored_from_a_photo_of_their_basket(call: Call, tmp_path: Path) -> None:
    """A rendered plate stands in for a basket: as many strips as it shows, in the order in which they lie."""
    table, chips, out = tmp_path / "lot.csv", tmp_path / "chips.csv", tmp_path / "scored.csv"
    chips.write_text("number,L,a,b\n000,74,-1,21\n1,62,6,33\n4,36,12,20\n", encoding="utf-8")
    photo = Path(__file__).parents[1] / "plates" / "ink064.jpg"
    planned_basket(table, 1)
    refused = call("intake", "score-fry", table, photo, "--out", out)
    assert refused.exit_code == Exit.FAULTY_INPUT
    shows = re.search(r"The photo shows (\d+) pieces, and the basket has 1 strips", refused.stderr)
    assert shows is not None
    planned_basket(table, int(shows[1]))
    told = said(call("intake", "score-fry", table, photo, "--chips", chips, "--out", out))
    assert f"of {shows[1]} strips scored" in told
    strips = read_strips(out)
    assert len(strips) > 0.7 * int(shows[1])
    assert sum(one.number is not None for one in strips) > 0.7 * len(strips)
    assert {one.sugar_end for one in strips} & {True, False}
    assert call("intake", "score-fry", table, photo, photo, "--out", tmp_path / "b.csv").exit_code == Exit.FAULTY_INPUT
