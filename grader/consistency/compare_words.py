"""Comparisons and capability in plain words, for people."""

from collections.abc import Iterator

from grader.consistency.capability import Capability, Index
from grader.consistency.comparing import Comparison, Difference, Found, GroupMean
from grader.consistency.quantities import Quantity
from grader.consistency.two_kitchens import Agreed, PairedPlate
from grader.counted import counted

SHARED_CAUTION = (
    "phone, card and light are in this: where each had its own, their doubt is shared by all its plates and shows in "
    "no scatter; give it (--shared-u), or compare with the same phone, card and light"
)
_COUNTED_APART = 2.0


def comparison_lines(found: Comparison, quantity: Quantity, *, by: str) -> Iterator[str]:
    """All groups, then all differences, the ones that differ first."""
    yield f"{quantity.title} by {by}; of means each interval holds at 95 %, of differences all at once."
    for group in found.groups:
        yield f"  {_group(group, quantity)}"
    order = {Found.DIFFER: 0, Found.CANT_TELL: 1, Found.ALIKE: 2}
    for one in sorted(found.differences, key=lambda one: (order[one.found], -abs(one.value))):
        yield difference_words(one, quantity, found.worth_acting_on)
    yield f"  batches of one {by} differ by {quantity.amount(found.sd_batches)} (standard deviation)" + (
        ", plates of one batch in them"
        if found.sd_plates is None
        else f", plates of one batch by {found.sd_plates:.2f}"
    )
    if found.within_lots:
        yield "  differences between lots are taken out"
    yield f"  shared by all plates of one {by}: {found.shared_u:.2f} (u)" if found.shared_u else f"  {SHARED_CAUTION}"


def _group(group: GroupMean, quantity: Quantity) -> str:
    rests = f"{counted(group.plates, 'plate')} in {counted(group.batches, 'batch')}"
    return f"{group.name}: {quantity.amount(group.mean)} ({group.low:.2f} to {group.high:.2f}), {rests}"


def difference_words(one: Difference, quantity: Quantity, worth_acting_on: float) -> str:
    """One difference and what it comes to."""
    worth = f"the {quantity.amount(worth_acting_on)} worth acting on"
    match one.found:
        case Found.ALIKE:
            return f"{one.of} and {one.less} are alike enough: {_between(one, quantity)}, less than {worth}."
        case Found.DIFFER:
            way = quantity.more if one.value > 0 else quantity.less
            by = f"{one.of} is {quantity.amount(abs(one.value))} {way} than {one.less}, {_between(one, quantity)}"
            return f"{by}: they differ, " + (f"by more than {worth}." if one.beyond else f"perhaps by {worth}.")
        case Found.CANT_TELL:
            told = f"{one.of} and {one.less}: can't tell yet, {_between(one, quantity)}"
            if one.more is None:
                return f"{told}; no number of plates in reach would tell whether by {worth}."
            more = f"{counted(one.more.plates, 'more plate')} of each, in {counted(one.more.batches, 'batch')}"
            return f"{told}; about {more}, would tell four times in five whether by {worth}."


def _between(one: Difference, quantity: Quantity) -> str:
    low, high = (_way(value, quantity) for value in (one.low, one.high))
    return f"between {low} and {high}"


def _way(value: float, quantity: Quantity) -> str:
    return f"{abs(value):.2f} {quantity.more if value > 0 else quantity.less}"


def capability_lines(found: Capability, quantity: Quantity) -> Iterator[str]:
    """Indices, what the spread holds, what lies outside."""
    ends = (
        f"{'open' if found.low is None else f'{found.low:g}'} to {'open' if found.high is None else f'{found.high:g}'}"
    )
    rests = f"{found.fries} fries on {counted(found.plates, 'plate')} in {counted(found.batches, 'batch')}"
    yield f"{quantity.title}, range {ends} {quantity.unit}: {rests}."
    yield f"  mean {_index(found.mean)} {quantity.unit} (95 % intervals throughout)"
    for name, index, what in (
        ("Cp", found.cp, "the range over six standard deviations, within batches"),
        ("Cpk", found.cpk, "from the mean to the nearer end over three of them"),
        ("Pp", found.pp, "as Cp, batches too"),
        ("Ppk", found.ppk, "as Cpk, batches too"),
    ):
        if index is not None:
            yield f"  {name} {_index(index)}: {what}"
    parts = [f"fries of a plate {found.sd_fries:.2f}"]
    parts += [] if found.sd_plates is None else [f"plates of a batch {found.sd_plates:.2f}"]
    parts += [] if found.sd_batches is None else [f"batches {found.sd_batches:.2f}"]
    yield f"  standard deviations: {', '.join(parts)}, together {found.whole.sd:.2f} {quantity.unit}"
    outside = found.expected_outside
    yield f"  expected outside: {outside.value:.1%} of fries ({outside.low:.1%} to {outside.high:.1%}), taken as normal"
    if found.counted_outside is not None:
        yield f"  found outside: {found.counted_outside:.1%}{_unlike(found, found.counted_outside)}"
    yield (
        "  The method's own doubt is in the spread: fries scatter less than this, and fewer are outside."
        + _without(found)
    )
    if found.pp is None and found.ppk is None:
        yield "  All plates are of one batch: what batches add isn't in it. Take plates of more batches."


def _unlike(found: Capability, counted: float) -> str:
    """A warning where the normal distribution tells far more, or far less, than was found."""
    expected = found.expected_outside
    if counted > _COUNTED_APART * expected.high or counted < expected.low / _COUNTED_APART:
        return "; far from what is expected, so these fries aren't spread as normal: go by what was found"
    return ""


def _without(found: Capability) -> str:
    if found.without_method is None:
        return ""
    return f" With {found.method_sd:.2f} of it taken off: {found.without_method:.1%} outside."


def _index(index: Index) -> str:
    return f"{index.value:.2f} ({index.low:.2f} to {index.high:.2f})"


def kitchens_lines(found: Agreed, quantity: Quantity, *, first: str, second: str) -> Iterator[str]:
    """How two kitchens agree: the bias against what is worth acting on, single plates, stated doubts."""
    bias, worth = found.bias, f"the {quantity.amount(found.worth_acting_on)} worth acting on"
    yield f"{quantity.title}, {len(found.plates)} plates measured by {first} and by {second}."
    read = f"{second} reads {quantity.amount(abs(bias.value))} {quantity.more if bias.value > 0 else quantity.less}"
    yield f"{read} than {first} ({bias.low:+.2f} to {bias.high:+.2f}): {_verdict(found, worth)}"
    yield (
        f"  of single plates 19 in 20 differ by {found.lower.value:+.2f} ({found.lower.low:+.2f} to "
        f"{found.lower.high:+.2f}) to {found.upper.value:+.2f} ({found.upper.low:+.2f} to {found.upper.high:+.2f}) "
        f"{quantity.unit}"
    )
    if found.slope is not None and not found.slope.low <= 0 <= found.slope.high:
        yield f"  the difference grows by {found.slope.value:+.2f} for each {quantity.unit} {quantity.more}"
    holds = "as stated doubts would have it" if found.doubts_hold else "more than stated doubts allow: one is too small"
    yield f"  |E_n| above 1 on {found.beyond} of {len(found.plates)} plates, {holds}"
    for plate, score in zip(found.plates, found.e_n, strict=True):
        yield f"  {plate_words(plate, score)}"


def _verdict(found: Agreed, worth: str) -> str:
    match found.found:
        case Found.ALIKE:
            return f"alike enough, less than {worth}."
        case Found.DIFFER:
            surely = min(abs(found.bias.low), abs(found.bias.high)) > found.worth_acting_on
            return f"they differ, by more than {worth}." if surely else f"they differ, perhaps by {worth}."
        case Found.CANT_TELL:
            if found.more_plates is None:
                return f"can't tell yet, and no number of plates in reach would tell whether by {worth}."
            return f"can't tell yet; about {counted(found.more_plates, 'more plate')} would tell four times in five."


def plate_words(plate: PairedPlate, score: float) -> str:
    """One plate as both read it."""
    both = f"{plate.first:.2f} ± {plate.first_u:.2f} and {plate.second:.2f} ± {plate.second_u:.2f}"
    return f"{plate.plate}: {both}, E_n {score:+.2f}"
