"""How far a basket of cold potato cools the oil, how soon the fryer makes up for it, and how large a basket may be.

A heat balance. The food draws its heat as fast as it is cold and wet, less and less (an exponential); the heater gives
all it has from the moment the oil is below its temperature. What an exponential makes simple has a closed form.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

from scipy.optimize import brentq

from grader.errors import GraderError
from grader.fries.model import Measured

LATENT_KJ_KG = 2257.0
"""Of water boiling at 100 C (steam tables, from memory)."""
BOILING_C = 100.0
_AT_MOST_KG = 50.0


class LoadError(GraderError, ValueError):
    """A fryer or a load that can't be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fryer:
    """Oil, kg, and its specific heat, kJ/(kg C); power that reaches the oil, kW; the oil's temperature, C.

    2.2 kJ/(kg C) is that of frying oils near 180 C, and a litre of hot oil weighs 0.82 kg (both from memory; ± 5 %).
    """

    oil_kg: float
    power_kw: float
    oil_c: float
    oil_heat_kj_kg_c: float = 2.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What goes in.

    Attributes
    ----------
    kg, celsius, water
        Mass of strips, their temperature, their share of water.
    lost
        Water boiled off in this frying, as a share of that mass.
    draws_s
        In so many seconds the food has drawn 63 % of its heat: some 60 s for 9.5 mm strips (house guess; measure how
        the oil falls).
    """

    kg: float
    celsius: float
    water: float
    lost: float
    draws_s: float = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """What a load does to the oil: how far it falls at most, C, when, and when it is back, s.

    `boils` where the oil stays hotter than boiling water: below that the balance says nothing.
    """

    fall_c: float
    lowest_s: float
    back_s: float
    boils: bool


def specific_heat(water: float) -> float:
    """KJ/(kg C) of food with this share of water: 0.837 + 3.349 w. Source: Siebel (1892), from memory."""
    return 0.837 + 3.349 * water


def heat_wanted(load: Load) -> tuple[float, float]:
    """KJ that warm the load to boiling, and that boil off the water it loses."""
    warm = load.kg * specific_heat(load.water) * (BOILING_C - load.celsius)
    return warm, load.kg * load.lost * LATENT_KJ_KG


def fall_of(fryer: Fryer, load: Load) -> Fall:
    """How far the oil falls below its temperature.

        fall(t) = (E (1 - exp(-t / s)) - P t) / (m c)

    E is the heat wanted, P the power, s the time in which the food draws 63 % of E, m c the oil's mass by its specific
    heat. It falls for as long as the food draws more than P.

    Raises
    ------
    LoadError
        A fryer or a load that can't be.
    """
    _check(fryer, load)
    wanted, store = sum(heat_wanted(load)), fryer.oil_kg * fryer.oil_heat_kj_kg_c
    by_heater = fryer.power_kw * load.draws_s
    if wanted <= by_heater:  # the heater keeps up from the start
        return Fall(fall_c=0.0, lowest_s=0.0, back_s=0.0, boils=True)
    lowest = load.draws_s * math.log(wanted / by_heater)
    fall = (wanted - by_heater - fryer.power_kw * lowest) / store
    back = brentq(
        lambda t: wanted * -math.expm1(-t / load.draws_s) - fryer.power_kw * t, lowest, wanted / fryer.power_kw + 1
    )
    return Fall(fall_c=fall, lowest_s=lowest, back_s=float(back), boils=fryer.oil_c - fall > BOILING_C)


def largest_load_kg(fryer: Fryer, load: Load, *, fall_at_most_c: float) -> float:
    """Kilograms of such strips that let the oil fall just so far.

    Raises
    ------
    LoadError
        A fryer or a load that can't be, or 50 kg don't do it.
    """

    def over(kg: float) -> float:
        return fall_of(fryer, replace(load, kg=kg)).fall_c - fall_at_most_c

    if fall_at_most_c <= 0:
        raise LoadError("The oil always falls a little.", hint="Give the fall that your house allows, C, more than 0.")
    if over(_AT_MOST_KG) < 0:
        raise LoadError(f"Not even {_AT_MOST_KG:g} kg do that.", hint="Look at the oil's mass and the fryer's power.")
    return float(brentq(over, 1e-6, _AT_MOST_KG, xtol=1e-6))


_RELATIVE_U = {"draws_s": 0.4, "lost": 0.15, "water": 0.02, "oil_heat_kj_kg_c": 0.05, "oil_kg": 0.05, "power_kw": 0.1}
"""How unsure each is, relative: the food's pace most of all (house guess)."""


def with_doubt(value: Callable[[Fryer, Load], float], fryer: Fryer, load: Load) -> Measured:
    """A figure and its standard uncertainty: each input moved by its own, the changes added in squares (GUM, 5.1.2)."""
    here, changes = value(fryer, load), []
    for name, share in _RELATIVE_U.items():
        of_fryer = name in {field.name for field in fields(Fryer)}
        told = getattr(fryer if of_fryer else load, name)
        low, high = (_possible(load, name, told * (1 + way * share)) for way in (-1, 1))
        if high > low:
            below, above = (
                value(replace(fryer, **{name: one}), load) if of_fryer else value(fryer, replace(load, **{name: one}))
                for one in (low, high)
            )
            changes.append((above - below) / (high - low) * told * share)
    return Measured(value=here, u=math.hypot(*changes))


def _possible(load: Load, name: str, value: float) -> float:
    """The value, or the nearest that can be: no more than all of a load is water, and no more is lost than there is."""
    if name == "water":
        return min(max(value, load.lost), 1.0)
    return min(value, load.water) if name == "lost" else value


def _check(fryer: Fryer, load: Load) -> None:
    possible = (
        fryer.oil_kg > 0
        and fryer.power_kw > 0
        and fryer.oil_heat_kj_kg_c > 0
        and BOILING_C < fryer.oil_c < 230
        and load.kg > 0
        and -30 <= load.celsius < BOILING_C
        and 0 < load.water <= 1
        and 0 <= load.lost <= load.water
        and load.draws_s > 0
    )
    if not possible:
        raise LoadError(
            "Such a fryer or load can't be.",
            hint="Oil in kg, power in kW; oil at 100 to 230 C; shares 0 to 1, no more water lost than there is.",
        )
