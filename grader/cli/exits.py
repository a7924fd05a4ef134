"""What the exit codes mean; README and every command's help say the same."""

from enum import IntEnum


class Exit(IntEnum):
    """Exit codes. Without --exit-verdict, `grade` ends with DONE whatever it found."""

    DONE = 0
    FAILED = 1
    FAULTY_INPUT = 2
    REFUSED = 3
    UNDECIDED = 4
    NOT_WRITTEN = 5


def gravest(*codes: Exit) -> Exit:
    """Of several batches."""
    return min(codes, key=(Exit.FAILED, Exit.REFUSED, Exit.UNDECIDED, Exit.DONE).index)
