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
