"""What goes wrong on purpose in this room; see `grader.errors` for the tree."""

from grader.errors import GraderError


class EvidenceRefused(GraderError, ValueError):
    """Something can't stand as evidence, or can't be made into it."""


class KeyUnusable(EvidenceRefused):
    """A signing key is missing, locked, revoked, or not what it should be."""


class BundleUnreadable(EvidenceRefused):
    """A file is no sealed bundle: it can't even be taken apart safely."""


class StampUnusable(EvidenceRefused):
    """A time stamp can't be had, or doesn't hold."""
