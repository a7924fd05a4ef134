"""What the commands about the fryer say, for people."""

from dataclasses import replace

from grader.fries.model import Measured
from grader.line.cautions import LOCAL, OIL
from grader.line.load import BOILING_C, Fryer, Load, fall_of, heat_wanted, largest_load_kg, with_doubt

_CURVE = 0.5, 0.75, 1.0, 1.5, 2.0
"""Loads told beside the one asked about, as parts of it."""
_BEYOND = (
    f"The oil would fall below {BOILING_C:g} C, where nothing boils: the balance says no more of such a load. "
    "Fry it in parts."
)


def load_lines(fryer: Fryer, load: Load, *, fall_at_most_c: float) -> list[str]:
    """The balance, the fall, its curve over loads, and the largest load."""
    warm, boil = heat_wanted(load)
    fall = with_doubt(lambda one, other: fall_of(one, other).fall_c, fryer, load)
    most = with_doubt(lambda one, other: largest_load_kg(one, other, fall_at_most_c=fall_at_most_c), fryer, load)
    told = fall_of(fryer, load)
    return [
        f"{load.kg:g} kg take {warm:.0f} kJ to come to boiling and {boil:.0f} kJ to boil off their water.",
        *(
            (
                f"The oil falls by {_pair(fall, 'C')}, from {fryer.oil_c:g} to {fryer.oil_c - told.fall_c:.0f} C,",
                f"  after {told.lowest_s:.0f} s; it is back after {told.back_s:.0f} s.",
            )
            if told.boils
            else (_BEYOND,)
        ),
        "  kg      falls by, C",
        *(f"  {load.kg * part:<6.2f}  {_fall(fryer, load, part)}" for part in _CURVE),
        f"Largest load for a fall of {fall_at_most_c:g} C: {_pair(most, 'kg')} (± is 95 %).",
        "Sources: specific heat by Siebel, latent heat by steam tables, oil 2.2 kJ/(kg C), all from memory.",
        "That food draws its heat exponentially is a house guess, and most of the doubt: hold a thermometer in",
        "the oil, and set --draws by it.",
        OIL.words,
        LOCAL.words,
    ]


def cut_lines(time_s: Measured, *, new_mm: float) -> list[str]:
    """A first guess, and that it is one."""
    return [
        f"Begin a trial of {new_mm:g} mm near {_pair(time_s, 's')} (± is 95 %).",
        "Time goes as thickness to a power between 1 and 2: which, only plates tell. See: trial plan. It is no recipe.",
    ]


def _fall(fryer: Fryer, load: Load, part: float) -> str:
    told = fall_of(fryer, replace(load, kg=load.kg * part))
    return f"{told.fall_c:.1f}" if told.boils else f"below {BOILING_C:g} C"


def _pair(measured: Measured, unit: str) -> str:
    return f"{measured.value:.3g} ± {2 * measured.u:.2g} {unit}"
