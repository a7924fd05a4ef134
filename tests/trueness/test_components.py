"""Where differences come from: against a published worked example, and against what was put in."""

from pathlib import Path

import numpy as np
import pytest

from grader.trueness.components import (
    TooFewReadingsError,
    fit_components,
    variance_of_mean,
    variance_of_one,
)


@pytest.fixture(scope="module")
def ejection() -> tuple[np.ndarray, np.ndarray]:
    """Subjects and differences of 60 pairs: Bland & Altman, J. Biopharm. Stat. 17 (2007) 571, table 1."""
    table = np.loadtxt(Path(__file__).parent / "ejection_2007.csv", delimiter=",", skiprows=1)
    return table[:, 0].astype(np.int64), table[:, 1] - table[:, 2]


def test_one_factor_gives_the_published_analysis_of_variance(ejection: tuple[np.ndarray, np.ndarray]) -> None:
    # Tables 2 and 3 of the paper: mean squares 4.2090856 and 0.170714026, divisor 4.9818182, standard deviation
    # 0.99062408 (its square is printed as 0.98133606, of figures that were rounded before).
    subjects, differences = ejection
    components = fit_components(differences, [subjects])
    (part,) = components.parts
    assert components.mean == pytest.approx(0.6021667, abs=5e-8)
    assert components.rest == pytest.approx(0.170714026, abs=5e-8)
    assert part.mean_square == pytest.approx(4.2090856, abs=5e-7)
    assert 1 / part.weight == pytest.approx(4.9818182, abs=5e-8)
    assert variance_of_one(components).value ** 0.5 == pytest.approx(0.99062408, abs=5e-8)
    assert variance_of_one(components).value == pytest.approx(0.98133606, abs=1e-7)
    assert (part.freedom, components.rest_freedom) == (11, 48)


def test_without_factors_it_is_the_plain_variance() -> None:
    readings = np.array([1.0, 2.0, 4.0, 7.0])
    components = fit_components(readings, [])
    assert variance_of_one(components).value == pytest.approx(np.var(readings, ddof=1))
    assert variance_of_one(components).freedom == pytest.approx(3)
    assert variance_of_mean(components).value == pytest.approx(np.var(readings, ddof=1) / 4)


def test_a_balanced_crossing_gives_the_textbook_mean_squares() -> None:
    # Two-way layout without replication: mean squares of row and column means, by hand.
    rng = np.random.default_rng(5)
    table = rng.normal(0, 1, (7, 5)) + rng.normal(0, 2, (7, 1)) + rng.normal(0, 3, (1, 5))
    rows, columns = np.indices(table.shape)
    components = fit_components(table.ravel(), [rows.ravel(), columns.ravel()])
    by_row, by_column = components.parts
    assert by_row.mean_square == pytest.approx(5 * np.var(table.mean(axis=1), ddof=1))
    assert by_column.mean_square == pytest.approx(7 * np.var(table.mean(axis=0), ddof=1))
    left = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0, keepdims=True) + table.mean()
    assert components.rest == pytest.approx(np.sum(left**2) / 24)
    assert by_row.weight == pytest.approx(1 / 5)


def test_variances_come_out_as_put_in_though_readings_are_missing() -> None:
    rng = np.random.default_rng(11)
    found = []
    for _ in range(150):
        rows, columns = (part.ravel() for part in np.indices((20, 8)))
        readings = rng.normal(0, 1.0, 20)[rows] + rng.normal(0, 0.7, 8)[columns] + rng.normal(0, 0.5, 160)
        kept = rng.random(160) < 0.7
        components = fit_components(readings[kept], [rows[kept], columns[kept]])
        found.append([*(part.variance for part in components.parts), components.rest])
    assert np.mean(found, axis=0) == pytest.approx([1.0, 0.49, 0.25], rel=0.12)


def test_more_readings_of_the_same_pieces_make_the_mean_no_surer() -> None:
    rng = np.random.default_rng(2)
    by_piece = rng.normal(0, 2.0, 10)
    few, many = (
        fit_components(by_piece[pieces] + rng.normal(0, 0.1, len(pieces)), [pieces])
        for pieces in (np.repeat(np.arange(10), 2), np.repeat(np.arange(10), 50))
    )
    assert variance_of_mean(many).value == pytest.approx(variance_of_mean(few).value, rel=0.05)
    assert variance_of_mean(many).freedom == pytest.approx(9, rel=0.05)


def test_a_variance_below_nothing_is_nothing() -> None:
    # Pieces that are more alike than chance would have it.
    pieces = np.repeat(np.arange(6), 2)
    components = fit_components(np.tile([-1.0, 1.0], 6), [pieces])
    assert components.parts[0].variance == 0
    assert variance_of_one(components).value == pytest.approx(components.rest)


def test_a_factor_that_is_another_one_adds_nothing_of_its_own() -> None:
    pieces = np.repeat(np.arange(4), 3)
    components = fit_components(np.arange(12.0), [pieces, pieces])
    assert [part.freedom for part in components.parts] == [0, 0]


def test_too_few_readings_say_so() -> None:
    with pytest.raises(TooFewReadingsError, match="too few"):
        fit_components(np.array([1.0, 2.0]), [np.array([0, 1])])
