"""Photos handed to a crew: by path, by their bytes where workers can't read them, refused where the program ends."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from grader.running.crew import Crew, Pending, Ready, WorkerEnded
from grader.running.one_photo import Grading, NotHere, PhotoDone, PhotoTask, ended, grade_task, unread

Tell = Callable[[Path, float, str], None]
"""Called with a photo, the share of it that is done and what is being done; with no words as it has ended."""


def untold(_path: Path, _share: float, _doing: str) -> None:
    """Nobody wants to know."""


@dataclass(slots=True, kw_only=True)
class Handing:
    """Hands photos to a crew, and takes what comes of them."""

    crew: Crew
    grading: Grading
    tell: Tell = untold
    by_bytes: bool = False  # workers were seen to lack a file: from then on bytes are sent at once

    def begin(self, path: Path, sha256: str) -> Pending[PhotoDone | NotHere]:
        """Begin to grade a photo whose bytes have this hash."""
        return self._with_bytes(path, sha256) if self.by_bytes else self._hand_in(path, sha256, None)

    def come_of(self, path: Path, sha256: str, pending: Pending[PhotoDone | NotHere]) -> PhotoDone:
        """What came of it, waited for; whatever goes wrong with the photo comes back as its refusal.

        Raises
        ------
        OtherEdition, ClusterUnusable
            The crew can't go on.
        """
        try:
            done = pending.result()
            if isinstance(done, NotHere):
                self.by_bytes = True
                done = self._with_bytes(path, sha256).result()
        except WorkerEnded as error:
            return ended(path, error, self.grading)
        if isinstance(done, NotHere):
            raise TypeError(f"a worker that has the bytes of {path} asks for them")
        return done

    def _with_bytes(self, path: Path, sha256: str) -> Pending[PhotoDone | NotHere]:
        try:
            data = path.read_bytes()
        except (OSError, MemoryError) as error:
            return Ready(unread(path, error, self.grading))
        return self._hand_in(path, sha256, data)

    def _hand_in(self, path: Path, sha256: str, data: bytes | None) -> Pending[PhotoDone | NotHere]:
        progress = partial(self.tell, path) if self.crew.here else None
        task = PhotoTask(path=path.resolve(), sha256=sha256, data=data)
        return self.crew.hand_in(partial(grade_task, grading=self.grading, progress=progress), task)
