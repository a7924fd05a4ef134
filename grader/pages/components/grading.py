"""Grading for the page: each photo once, one at a time on this machine, with its progress shown."""

import hashlib
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock

import streamlit as st

from grader.card_values import KnownValues, write_values
from grader.decision.model import Verdict
from grader.drawing import draw_plate, picture_jpeg
from grader.grading import METHOD_VERSION, GradedPhoto, Progress, judge_photos
from grader.pages.components.choosing import Photos
from grader.records.guarded import grade_guarded, without_pixels
from grader.records.house import kept_studies, known_today
from grader.standard import write_standard
from grader.standard.model import Standard
from grader.trueness import Standing, Study, weakest, write_study

KEPT_PHOTOS = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenPhoto:
    """One photo graded: the findings without pixels, and the annotated picture (None where it could not be read)."""

    graded: GradedPhoto
    picture: bytes | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenBatch:
    """A batch for the page; `verdict` is None where no photo could be judged."""

    photos: tuple[SeenPhoto, ...]
    standard: Standard
    verdict: Verdict | None

    @property
    def standing(self) -> Standing | None:
        """What the verdict may claim: no more than the weakest of its photos."""
        return weakest(one.graded.standing for one in self.photos)


class Grader:
    """Remembers the photos graded last by bytes, name, standard and what the house keeps, and grades one at a time.

    Streamlit's own cache can't show progress from inside, and two photos at once would need twice the memory.
    """

    def __init__(self, kept: int = KEPT_PHOTOS) -> None:
        self._kept = kept
        self._seen: OrderedDict[str, SeenPhoto] = OrderedDict()
        self._lock = Lock()

    def grade(
        self,
        name: str,
        data: bytes,
        standard: Standard,
        progress: Progress,
        *,
        known: KnownValues | None = None,
        studies: Sequence[Study] = (),
    ) -> SeenPhoto:
        """Grade one photo, or recall it."""
        key = _key(name, data, standard, known, studies)
        with self._lock:
            if key not in self._seen:
                graded = grade_guarded(
                    data, name=name, standard=standard, known=known, studies=studies, progress=progress
                )
                picture = draw_plate(graded, standard)
                packed = None if picture is None else picture_jpeg(picture)
                self._seen[key] = SeenPhoto(graded=without_pixels(graded), picture=packed)
            self._seen.move_to_end(key)
            while len(self._seen) > self._kept:
                self._seen.popitem(last=False)
            return self._seen[key]


def _key(name: str, data: bytes, standard: Standard, known: KnownValues | None, studies: Sequence[Study]) -> str:
    digest = hashlib.sha256(data)
    cards = () if known is None else (known.on.isoformat(), *(write_values(values) for values in known.values))
    texts = (part.encode() for part in (name, METHOD_VERSION, write_standard(standard), *cards))
    for part in (*texts, *(write_study(study) for study in studies)):
        digest.update(b"\0" + part)
    return digest.hexdigest()


@st.cache_resource(show_spinner=False)
def grader() -> Grader:
    """The one grader of this machine, for all who have the page open; only who has a photo's bytes can recall it."""
    return Grader()


def grade_batch(photos: Photos, standard: Standard) -> SeenBatch:
    """Grade all photos with a bar that says what is being done, and judge the batch over them."""
    known, studies = known_today(), kept_studies()
    bar = st.progress(0.0, text="Waiting for its turn")
    seen = []
    for turn, (name, data) in enumerate(photos):

        def tell(share: float, doing: str, *, turn: int = turn) -> None:
            done = min(max((turn + share) / len(photos), 0.0), 1.0)
            bar.progress(done, text=f"Photo {turn + 1} of {len(photos)}: {doing}")

        seen.append(grader().grade(name, data, standard, tell, known=known, studies=studies))
    bar.empty()
    verdict = judge_photos([one.graded for one in seen], standard)
    return SeenBatch(photos=tuple(seen), standard=standard, verdict=verdict)
