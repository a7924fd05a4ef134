"""Which photos count where plates were photographed twice: each plate once, by its first photo or by its second."""

from collections.abc import Sequence

from grader.evidence.looking import Looked
from grader.grading import GradedPhoto


def counted(looked: Sequence[Looked], seconds: Sequence[int]) -> list[GradedPhoto]:
    """Every plate by its first photo; `seconds` has each photo's first by its turn, 0 where it is no second."""
    return [one.graded for one, second_of in zip(looked, seconds, strict=True) if not second_of]


def counted_again(looked: Sequence[Looked], seconds: Sequence[int]) -> list[GradedPhoto]:
    """The same with second photos in place of their first ones; none where there is no second photo."""
    replaced = {second_of: one.graded for one, second_of in zip(looked, seconds, strict=True) if second_of}
    if not replaced:
        return []
    return [
        replaced.get(turn, one.graded)
        for turn, (one, second_of) in enumerate(zip(looked, seconds, strict=True), 1)
        if not second_of
    ]
