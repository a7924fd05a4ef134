"""What colours come to, on readings few enough to count by hand."""

from dataclasses import replace

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from tests.bars.colour import colour_reached
from tests.scoring.colour import by_sheet, covers, light_pairs
from tests.scoring.plates import ColourRead, PlateScore

TRUE = (60.0, 6.0, 34.0)


def plate(name: str, *errors: tuple[float, float, float], group: str = "spread", u: float = 1.0) -> PlateScore:
    """A plate of fries of one colour, each read with its error."""
    colours = tuple(
        ColourRead(
            number=number,
            true=TRUE,
            read=(TRUE[0] + error[0], TRUE[1] + error[1], TRUE[2] + error[2]),
            u=(u, u, u),
        )
        for number, error in enumerate(errors, 1)
    )
    return PlateScore(
        name=name,
        group=group,
        inks=False,
        must_refuse=False,
        has_result=True,
        refused=False,
        right_reason=False,
        codes=(),
        missed=0,
        lengths_wanted=0,
        colours_wanted=len(errors),
        colours=colours,
    )


def test_sheets_are_told_apart_and_heaps_left_out() -> None:
    one, other = plate("a", (1, 0, 0), (3, 0, 0)), plate("b", (0, 0, -4), (0, 0, -4), group="mat")
    told = by_sheet([one, other, plate("c", (9, 9, 9), group="heap"), plate("d", (0, 0, 0), (0, 0, 0))])
    assert set(told) == {"card", "mat"}
    assert (told["card"].plates, told["card"].fries) == (2, 4)
    assert told["card"].plate_shift == pytest.approx(1.0)
    assert told["card"].bias == pytest.approx([1.0, 0.0, 0.0])
    assert told["card"].bias_u[0] == pytest.approx(1.0)
    assert told["mat"].de_median == pytest.approx(float(deltaE_ciede2000(np.array(TRUE), np.array((60, 6, 30)))))
    assert np.isnan(told["mat"].bias_u).all()


def test_cover_counts_channel_by_channel_and_third_by_third() -> None:
    plates = [plate(f"p{k}", *([(0.5, 3.0, 0.1)] * 5), u=1.0 + k) for k in range(3)]
    told = {one.what: one for one in covers(plates)}
    assert told["plain, L*"].share == 1.0
    assert told["plain, a*"].share == pytest.approx(2 / 3)
    assert told["plain, a*"].low < told["plain, a*"].share < told["plain, a*"].high
    assert told["plain, a*, lowest third of u"].share == 0.0
    assert told["plain, a*, highest third of u"].share == 1.0
    assert told["plain, a*"].u_over_rms == pytest.approx(2 / 3)


def test_pairs_compare_the_fries_that_both_read() -> None:
    day = plate("x-pair1-D65", (0, 0, 0), (0, 0, 0), (0, 0, 0), (50, 0, 0))
    lamp = plate("x-pair1-A", (0, 0, 2), (0, 0, 2), (0, 0, 2))
    (pair,) = light_pairs([day, lamp, plate("other-A", (9, 0, 0), (9, 0, 0), (9, 0, 0))])
    assert pair.lights == ("A", "D65")
    assert pair.de == pytest.approx(float(deltaE_ciede2000(np.array(TRUE), np.array((60, 6, 36)))))


def test_a_figure_beyond_its_bar_is_missed() -> None:
    good = [plate(f"p{k}", *([(0.1, 0.1, 0.1)] * 4)) for k in range(3)]
    assert all(one.met for one in colour_reached(good) if "cover" not in one.name)
    bad = [replace(one, colours=plate("q", *([(-9.0, 0.1, 0.1)] * 4)).colours) for one in good]
    missed = {one.name.split(": ")[-1] for one in colour_reached(bad) if not one.met}
    assert {"de_median", "de_p95", "plate_shift", "bias of L*"} <= missed
