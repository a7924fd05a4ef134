"""A study in plain words, for people."""

from collections.abc import Iterator

from grader.trueness.agreement import Agreement
from grader.trueness.checks import QUANTITY_WORDS, Check, Found, colour_checks, length_checks
from grader.trueness.effects import Effect
from grader.trueness.model import LENGTHS, Quantity
from grader.trueness.study import Study, Tally

_BY_CHANCE_LESS_THAN = 0.05
FOUND_WORDS: dict[Found, str] = {
    Found.WITHIN: "within what is accepted",
    Found.NOT_SHOWN: "not shown to be within what is accepted",
    Found.BEYOND: "beyond what is accepted",
}


def study_lines(study: Study) -> Iterator[str]:
    """All that a study found, line by line."""
    yield (
        f"Trueness study of {study.made_on.isoformat()} by {study.by}: sheet {study.sheet}, run {study.print_run},"
        f" method {study.method_version}. It counts until {study.expires_on.isoformat()}."
    )
    yield f"Card colours: {study.card_method}, of {study.card_measured_on.isoformat()}."
    yield f"Lights: {'; '.join(study.lights)}."
    yield f"Bars measured with: {study.length_reference}. Chips measured with: {study.colour_reference}."
    yield from tally_lines(study.tally)
    yield "Off by (read less known): middle, with its 95 % interval; and where 19 of 20 single readings lie."
    single = len(study.lights) == 1  # one light is all lights, and is told once
    yield from (f"  {agreement_words(one)}" for one in study.agreements if one.light is None or not single)
    yield from (
        f"  CIE 2000 distance, {one.light or 'all lights'}: middle {one.median_de:.2f}, 95 % below {one.high_de:.2f}"
        f" ({one.readings} readings)"
        for one in study.distances
        if one.light is None or not single
    )
    yield from (f"  {effect_words(effect)}" for effect in study.effects)
    yield f"Accepted is what the house chose: {study.limits.reason}"
    for what, checks in ("Sizes", length_checks(study)), ("Colour", colour_checks(study)):
        yield from (f"  {what}: {check_words(check)}" for check in checks)


def tally_lines(tally: Tally) -> Iterator[str]:
    """What became of every photo and every piece that was laid."""
    judged = tally.photos - tally.photos_refused - tally.photos_unclear
    yield (
        f"Photos: {tally.photos} planned, {judged} used, {tally.photos_refused} missing, refused or of another card,"
        f" {tally.photos_unclear} whose pieces could not be told apart."
    )
    yield (
        f"Pieces laid in the photos used: {tally.laid}; {tally.met} met, {tally.not_met} not found or not told apart,"
        f" {tally.without_value} of those met without a size or colour; {tally.strangers} found that were not laid."
    )


def agreement_words(agreement: Agreement) -> str:
    """One quantity under one light, or under all."""
    unit = _unit(agreement.quantity)
    bias, lower, upper = agreement.bias, agreement.lower, agreement.upper
    return (
        f"{QUANTITY_WORDS[agreement.quantity]}, {agreement.light or 'all lights'}: {bias.value:+.2f}{unit}"
        f" ({bias.low:+.2f} to {bias.high:+.2f}); {lower.value:+.2f} to {upper.value:+.2f}{unit};"
        f" {agreement.within_u:.0%} within 1.96 of their stated doubt, {agreement.within_en:.0%} with |E_n| at most 1"
        f" ({agreement.readings} readings of {agreement.pieces} pieces on {agreement.photos} photos)"
    )


def effect_words(effect: Effect) -> str:
    """Whether the place, the height or the size changes what is read."""
    what, unit = QUANTITY_WORDS[effect.quantity], _unit(effect.quantity)
    chance = f"by chance alone as much in {effect.probability:.1%} of studies"
    on = "the known value" if effect.of == "size" else f"the {effect.of}"
    if effect.probability >= _BY_CHANCE_LESS_THAN:
        return f"{what} was not shown to depend on {on} ({chance})"
    match effect.of:
        case "place":
            change = f"by up to {effect.value:.2f}{unit} between places"
        case "height":
            change = f"by {effect.value:+.2f}{unit} where the pieces lie higher"
        case "size":
            change = f"by {effect.value:+.1%} of its change"
    return f"{what} depends on {on}: {change} ({chance})"


def check_words(check: Check) -> str:
    """One point of acceptance."""
    return f"{check.title} is {FOUND_WORDS[check.found]}: {check.words}"


def _unit(quantity: Quantity) -> str:
    return " mm" if quantity in LENGTHS else ""
