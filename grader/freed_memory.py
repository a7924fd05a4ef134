"""What pictures took is given back to the system: a process that grades many would keep it in pieces, and grow."""

import ctypes
import sys

_TRIM = getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None
"""The GNU library's own; elsewhere nothing is done."""


def give_back() -> None:
    """Free what the heap keeps of memory that nothing uses: a few milliseconds."""
    if _TRIM is not None:
        _TRIM(0)
