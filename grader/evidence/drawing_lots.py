"""Which units of a lot to open: drawn from a seed that both sides gave, so that anybody can draw again.

Unit k comes in the order of SHA-256("SEED k"): the smallest hashes are drawn. `printf 'SEED 17' | sha256sum` checks one
by hand. SEED is the SHA-256 of both sides' words, which each gives before the other's is known, on paper or aloud.
"""

import hashlib
from collections.abc import Sequence

from grader.evidence.errors import EvidenceRefused

UNITS_AT_MOST = 100_000


def seed_of(words: Sequence[str]) -> str:
    """One seed of what the sides gave, in their order.

    Raises
    ------
    EvidenceRefused
        Fewer than two sides, or one gave nothing: then one side chose the draw.
    """
    told = [" ".join(one.split()) for one in words]
    if len(told) < 2 or not all(told):
        hint = "Let each side give a few words or a number, written down before the other's is shown."
        raise EvidenceRefused("A draw needs the words of both sides.", hint=hint)
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def drawn_units(seed: str, *, units: int, draw: int) -> tuple[int, ...]:
    """Which of units 1 to `units` are drawn, by their number.

    Raises
    ------
    EvidenceRefused
        There are fewer units than are to be drawn, or too many.
    """
    if not 1 <= draw <= units <= UNITS_AT_MOST:
        hint = f"Draw at least one of at most {UNITS_AT_MOST} units, and no more than there are."
        raise EvidenceRefused(f"{draw} of {units} units can't be drawn.", hint=hint)
    ranked = sorted(range(1, units + 1), key=lambda unit: hashlib.sha256(f"{seed} {unit}".encode()).hexdigest())
    return tuple(sorted(ranked[:draw]))
