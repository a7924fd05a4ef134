from pathlib import Path

import numpy as np
import pytest

from grader.cli.exits import Exit
from tests.cli.conftest import Call
from tests.cli.test_sampling import said


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
    assert "Hot oil burns" in told
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
