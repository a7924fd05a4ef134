"""The card that the tests of colour take."""

from tests.colour.conftest import patch_lab

__all__ = ["patch_lab"]
