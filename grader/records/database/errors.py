"""What goes wrong with the records on purpose; each says what to do."""

from grader.errors import GraderError


class RecordsUnusable(GraderError):
    """The records can't be opened, or not by this edition of the program."""


class RecordsRefused(GraderError, ValueError):
    """Something that is to be kept or changed can't be: it contradicts what is kept, or says too little."""
