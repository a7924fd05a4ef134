"""What the system says of a file that it refuses, told as this project's own errors are."""

from grader.errors import GraderError


def disk_refuses(error: OSError) -> GraderError:
    """Which file, what is wrong in the system's own words, and what to look at."""
    file = f"{error.filename}: " if error.filename else "A file: "
    return GraderError(
        f"{file}{error.strerror or error}.", hint="Check the path, your rights to it and the space left."
    )
