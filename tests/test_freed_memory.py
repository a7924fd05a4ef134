import os
import sys
from pathlib import Path

import numpy as np
import pytest

from grader.freed_memory import give_back

PIECES, PIECE_BYTES = 2000, 64_000


@pytest.mark.skipif(sys.platform != "linux", reason="only the GNU library is asked")
def test_what_nothing_uses_goes_back_to_the_system() -> None:
    pieces = [np.ones(PIECE_BYTES, np.uint8) for _ in range(PIECES)]
    del pieces[:-1]  # the last lies above all others in the heap, which so can't shrink by itself
    before = _resident_bytes()
    give_back()
    assert before - _resident_bytes() > 0.5 * PIECES * PIECE_BYTES
    assert len(pieces) == 1


def _resident_bytes() -> int:
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")
