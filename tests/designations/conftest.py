"""The fries and the house standard that decisions are tested with."""

from tests.decision.conftest import make, standard

__all__ = ["make", "standard"]
