"""What the commands about a lot as it comes in say, for people."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from grader.fries.model import Measured
from grader.line.cartons import TubersWeighed
from grader.line.cautions import LOCAL
from grader.line.cautions import OIL as HOT_OIL
from grader.line.floating import LotGravity
from grader.line.fry_numbers import TOO_DARK_FROM, numbers_of_lot
from grader.line.fry_yield import OIL, WATER, fry_yield
from grader.line.lot_answer import HouseTime, LotAnswer
from grader.line.lot_fry import TUBERS_AT_LEAST, Lot, LotTest, SugarEnds, TestStrip
from grader.line.solids import dry_matter

_BY_CHANCE = 0.05
"""Less often than that is told as lighter than marked."""


def gravity_lines(gravity: Measured) -> list[str]:
    """Specific gravity, dry matter and yield of tubers."""
    dry = dry_matter(gravity)
    made = fry_yield(dry)
    return [
        f"Specific gravity {gravity.value:.4f} ± {2 * gravity.u:.4f} (± is 95 %, of the weighing alone).",
        f"Dry matter {_percent(dry)} of the raw mass, by the equation of von Scheele and others (1937).",
        f"A kilogram of raw strips makes {_grams(made.finished)} of finished fries:",
        f"  {_grams(made.water_lost)} of water go, {_grams(made.oil_taken)} of oil come,",
        f"  if finished fries hold {WATER.value:.0%} water (common practice) and {OIL.value:.1%} fat,",
        "  as USDA FoodData Central 170698 has it, and nothing is lost in soak and blanch.",
        "Weigh a batch of yours before and after to know.",
    ]


def bath_lines(salts: Sequence[tuple[float, float]], *, litres: float, celsius: float) -> list[str]:
    """Grams of salt for each bath."""
    return [
        *(
            f"Specific gravity {gravity:.3f}: {litres * salt:.0f} g of salt to {litres:g} l of water."
            for gravity, salt in salts
        ),
        "Weigh the salt, for crystals differ: a cup of one kind holds more than of another.",
        f"Stir until it is gone, and use the bath at {celsius:g} C. A hydrometer in it is surer.",
        "Wash tubers that were in it. Nothing wet goes into hot oil.",
    ]


def float_lines(told: LotGravity) -> list[str]:
    """Mean and spread of a lot, or that other baths are wanted."""
    lines = [
        f"Mean specific gravity of the lot {told.mean:.4f} ({told.tubers} tubers),",
        f"  with 95 % probability between {told.mean_low:.4f} and {told.mean_high:.4f}.",
        f"Its tubers spread by {told.spread:.4f} (standard deviation),",
        f"  with 95 % probability between {told.spread_low:.4f} and {told.spread_high:.4f}.",
        *gravity_lines(Measured(value=told.mean, u=told.mean_u))[1:],
        "A tuber that floats or sinks says nothing of that tuber alone: this is about the lot.",
    ]
    if told.outside:
        lines.insert(2, "All of them floated, or all sank: mix a bath beyond, and count again.")
    return lines


def carton_lines(count: int, stated_g: float, told: TubersWeighed | None) -> list[str]:
    """What a tuber ought to weigh, and what those weighed do."""
    lines = [f"{count} tubers to 50 lb (22.68 kg) weigh {stated_g:.0f} g each on average."]
    if told is None:
        return lines
    mean = f"The {told.tubers} weighed: {told.mean_g:.0f} g, 95 % between {told.low_g:.0f} and {told.high_g:.0f} g"
    lines.append(f"{mean}; as a count that is {told.count_as_weighed:.0f}. They spread by {told.sd_g:.0f} g.")
    if told.as_light_p < _BY_CHANCE:
        lines.append(f"Lighter than marked: so light by chance in {told.as_light_p:.1%} of such samples.")
    else:
        lines.append("Not shown to be lighter than marked.")
    return lines


def plan_fry_lines(table: Path, strips: int) -> list[str]:
    """How to go about a lot test fry."""
    return [
        f"{table}: {strips} strips, basket by basket, both lots in each.",
        "Draw the tubers without looking, from the cartons named. Cut centre strips from stem end to blossom end, all",
        "alike. Keep the strips of a tuber together, stem ends one way.",
        "Fry every basket for the same time at the same temperature, the oil back at it before: 7 CFR 51.3418 has",
        "3 min at 350 F (177 C), or 2 1/2 min at 375 F (191 C), unless agreed otherwise.",
        "Photograph each basket's strips beside the card, laid as in the table; enter each strip's place on the house",
        "scale, and whether its stem end is dark. Then: intake read-fry.",
        HOT_OIL.words,
        LOCAL.words,
    ]


def lot_fry_lines(told: LotTest, *, worth: float) -> list[str]:
    """The lots compared, sugar ends, and what differs by how much."""
    return [
        f"In the same oil the new lot is {told.difference:+.2f} steps from the one kept back (more is darker),",
        f"  with 95 % probability between {told.low:+.2f} and {told.high:+.2f}.",
        _lots_words(told, worth),
        *_ends_lines("new", told.new_ends),
        *_ends_lines("kept", told.kept_ends),
        f"Standard deviations, steps: {_sd(told.carton_sd)} between cartons, {_sd(told.tuber_sd)} between tubers of",
        f"  one, {_sd(told.strip_sd)} between strips of a tuber.",
        "It speaks of the potatoes, not of your oil or timer: those were the same for both lots.",
    ]


def answer_lines(answer: LotAnswer, house: HouseTime | None) -> list[str]:
    """Whether the lot can make the house's fry, why, and today's time."""
    lines = [f"Can this lot make the house's fry? {answer.can.capitalize()}.", *(f"  {one}" for one in answer.reasons)]
    if answer.today_s is None or house is None:
        return [*lines, "  For its time today give --trial, --seconds and --celsius: a trial tells how time colours."]
    return [
        *lines,
        f"Today's time for it: {answer.today_s.value:.0f} s at {house.celsius:g} C (a good lot: {house.seconds:g} s),",
        f"  with 95 % probability between {answer.today_low_s:.0f} and {answer.today_high_s:.0f} s.",
        "  A starting point: fry one plate at it, and look.",
    ]


def number_lines(strips: Sequence[TestStrip]) -> list[str]:
    """Both lots by the published numbering, where strips have numbers by the house's own chips."""
    told = {lot: numbers for lot in Lot if (numbers := numbers_of_lot(strips, lot)) is not None}
    if not told:
        return []
    lines = [
        "By the published numbering (000 is 0.1 to 4; 3.0 and darker is unacceptable), as your own chips define it:"
    ]
    for lot, one in told.items():
        lines += [
            f"  {lot} lot: body {one.body:.1f}, stem end {one.stem:.1f}; {one.dark_stems} of {one.tubers} tubers have",
            f"  a stem end of {TOO_DARK_FROM:.1f} or darker: {one.low:.0%} to {one.high:.0%} of the lot (exact, 95 %).",
        ]
    return [
        *lines,
        "  Numbers: Valley Potato Grower, July/August 2020, p. 14. The chips' colours are your own measurements.",
    ]


def _lots_words(told: LotTest, worth: float) -> str:
    if max(abs(told.low), abs(told.high)) < worth:
        return f"Alike enough: less apart than the {worth:g} steps that are worth acting on."
    if not told.differ:
        return f"Can't tell yet: fry more tubers of both ({worth:g} steps are worth acting on)."
    return f"The new lot fries {'darker' if told.difference > 0 else 'paler'}."


def _ends_lines(lot: str, ends: SugarEnds | None) -> Iterator[str]:
    if ends is None:
        return
    few = "" if ends.tubers >= TUBERS_AT_LEAST else f"; 7 CFR 51.3418 asks for at least {TUBERS_AT_LEAST}"
    yield (
        f"Sugar ends, {lot} lot: {ends.found} of {ends.tubers} tubers, so {ends.low:.0%} to {ends.high:.0%} of the lot "
        f"(exact, 95 %{few})."
    )


def _sd(steps: float | None) -> str:
    """A dash where it can't be told."""
    return "-" if steps is None else f"{steps:.2f}"


def _percent(share: Measured) -> str:
    return f"{100 * share.value:.1f} ± {200 * share.u:.1f} %"


def _grams(share: Measured) -> str:
    return f"{1000 * share.value:.0f} ± {2000 * share.u:.0f} g"
