from grader.cli.exits import Exit
from tests.cli.conftest import Call
from tests.cli.test_sampling import said


def test_a_load(call: Call) -> None:
    told = said(call("fryer", "load", 3, "--oil", 18, "--power", 14))
    assert "The oil falls by " in told
    assert "Largest load for a fall of 15 C: " in told
    assert "from memory" in told
    assert "boils over" in told
    assert call("fryer", "load", 3, "--oil", 0, "--power", 14).exit_code == Exit.FAULTY_INPUT


def test_a_load_that_nothing_would_boil_of_any_more(call: Call) -> None:
    told = said(call("fryer", "load", 8, "--oil", 3, "--power", 3))
    assert "The oil would fall below 100 C, where nothing boils" in told
    assert "16.00   below 100 C" in told
    assert "to -" not in told
    assert "it is back" not in told


def test_another_cut(call: Call) -> None:
    assert "Begin a trial of 12.7 mm near 232 ± 39 s" in said(call("fryer", "cut", 150, "--cut", 9.5, "--new", 12.7))
    assert call("fryer", "cut", 150, "--cut", 6, "--new", 19).exit_code == Exit.FAULTY_INPUT
