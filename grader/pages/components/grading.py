"""Grading for the page: each photo once, no more at a time than the machine can do, with its progress shown."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from threading import BoundedSemaphore, Lock

import streamlit as st

from grader.acts.plates import mend_photo
from grader.card_values import KnownValues, write_values
from grader.decision.model import Verdict
from grader.drawing import MendPicture, draw_for_mending, draw_plate, picture_jpeg
from grader.fries.mends import Mend
from grader.grading import METHOD_VERSION, GradedPhoto, Progress, judge_photos
from grader.language import current_language, retell, tr
from grader.mending import unmended
from grader.pages.components import acting, plain_words
from grader.pages.components.choosing import Photos
from grader.pages.components.recent import Recent
from grader.photo import read_photo
from grader.records.guarded import grade_guarded, without_pixels
from grader.records.house import kept_studies, known_today
from grader.records.kept_standards import note_judged, standards_folder
from grader.records.readings import labels_from_png, labels_png
from grader.roles.model import HOUSE, Actor
from grader.running.processes import cores
from grader.seasoned import withhold_colour
from grader.standard import write_standard
from grader.standard.model import Standard
from grader.trueness import Standing, Study, weakest, write_study

KEPT_PHOTOS = 64
AT_ONCE = min(cores(), 4)
"""Photos graded at once; each takes up to half a gigabyte of memory."""
_KEPT_WHOLE = 3
"""Photos kept with their pixels, of those that somebody looks at closely; each takes some 60 MB."""

Mends = tuple[Mend, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenPhoto:
    """One photo graded.

    Attributes
    ----------
    key
        Names it among all photos, names, standards, days and languages.
    plate_key
        Names it by what its fries' numbers rest on alone; what is mended by hand is kept under it.
    graded
        The findings, mended or not, without pixels.
    picture
        Annotated; None where the photo could not be read.
    labels
        PNG: which pixel is which fry, before any mends; None where it was refused.
    """

    key: str
    plate_key: str
    graded: GradedPhoto
    picture: bytes | None
    labels: bytes | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenBatch:
    """A batch for the page.

    `verdict` is None where no photo could be judged; `files` are the photos' own bytes in the same order;
    `unmended_verdict` is that without mends, None where nothing was mended.
    """

    photos: tuple[SeenPhoto, ...]
    files: tuple[bytes, ...]
    standard: Standard
    verdict: Verdict | None
    unmended_verdict: Verdict | None = None

    @property
    def standing(self) -> Standing | None:
        """What the verdict may claim: no more than the weakest of its photos."""
        return weakest(one.graded.standing for one in self.photos)

    @property
    def mends(self) -> Mends:
        """All mends of all its plates."""
        return tuple(mend for one in self.photos if one.graded.mending for mend in one.graded.mending.mends)


class Grader:
    """Remembers the photos graded last by bytes, name, standard and what the house keeps; grades a few at a time.

    Streamlit's own cache can't show progress from inside. However many hand plates in, so many are graded at once and
    the others wait for their turn: more would only take longer each, and more memory. What is remembered comes at once.
    """

    def __init__(self, kept: int = KEPT_PHOTOS, *, at_once: int = AT_ONCE) -> None:
        self._seen: Recent[str, SeenPhoto] = Recent(kept)
        self._mended: Recent[tuple[str, Mends], SeenPhoto] = Recent(kept)
        self._withheld: Recent[str, SeenPhoto] = Recent(kept)
        self._whole: Recent[tuple[str, Mends], GradedPhoto] = Recent(_KEPT_WHOLE)
        self._to_mend: Recent[tuple[str, Mends], MendPicture | None] = Recent(_KEPT_WHOLE)
        self._noted: Recent[str, None] = Recent(kept)
        self._lock = Lock()
        self._turns = BoundedSemaphore(at_once)

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

        def grade() -> SeenPhoto:
            graded = grade_guarded(data, name=name, standard=standard, known=known, studies=studies, progress=progress)
            return _seen(
                key,
                graded,
                standard,
                plate_key=_plate_key(name, data, standard, graded),
                labels=None if graded.plate is None else labels_png(graded.plate.labels),
            )

        if (known_already := self._recalled(key)) is not None:
            return known_already
        with self._turns:
            found = self._recalled(key) or grade()  # somebody else may have handed in the same while this one waited
        with self._lock:
            return self._seen.recall(key, lambda: found)

    def _recalled(self, key: str) -> SeenPhoto | None:
        with self._lock:
            return self._seen.get(key)

    def note(self, seen: SeenPhoto, standard: Standard) -> None:
        """Record that a kept standard judged a photo, once for each photo and standard.

        A disk that refuses is told, and tried again at the next run: the verdict needs none.
        """
        try:
            with self._lock:
                if not seen.graded.refused:
                    self._noted.recall(seen.key, lambda: _note(standard))
        except OSError as error:
            plain_words.tell(error)

    def mend(self, seen: SeenPhoto, data: bytes, standard: Standard, mends: Mends, *, actor: Actor) -> SeenPhoto:
        """A photo that `grade` gave, with mends; without any, as it was found.

        Raises
        ------
        NotAllowed
            Who acts may not mend.
        DocumentFaulty
            The mends contradict the plate or each other.
        """
        with self._lock:
            return self._mended.recall(
                (seen.key, mends),
                lambda: _seen(
                    seen.key,
                    self._with_pixels(seen, data, standard, mends, actor=actor),
                    standard,
                    plate_key=seen.plate_key,
                    labels=seen.labels,
                ),
            )

    def withhold(self, seen: SeenPhoto, data: bytes, standard: Standard) -> SeenPhoto:
        """A photo that `grade` gave, of a seasoned plate: without its colours."""
        with self._lock:
            return self._withheld.recall(
                seen.key,
                lambda: _seen(
                    f"{seen.key}-seasoned",
                    withhold_colour(self._with_pixels(seen, data, standard, ()), standard),
                    standard,
                    plate_key=seen.plate_key,
                    labels=seen.labels,
                ),
            )

    def whole(self, seen: SeenPhoto, data: bytes, standard: Standard) -> GradedPhoto:
        """A photo that `grade` or `mend` gave, with its pixels and labels; `data` are its bytes."""
        mending = seen.graded.mending
        with self._lock:
            return self._with_pixels(seen, data, standard, () if mending is None else mending.mends)

    def to_mend(self, seen: SeenPhoto, data: bytes, standard: Standard) -> MendPicture | None:
        """The picture of a photo to tap on; None where there are no fries to mend."""
        whole = self.whole(seen, data, standard)
        mends = () if whole.mending is None else whole.mending.mends
        with self._lock:
            return self._to_mend.recall((seen.key, mends), lambda: draw_for_mending(whole, standard))

    def _with_pixels(
        self, seen: SeenPhoto, data: bytes, standard: Standard, mends: Mends, *, actor: Actor = HOUSE
    ) -> GradedPhoto:
        """What is only shown again was mended by somebody who may."""
        if mends:
            return self._whole.recall(
                (seen.key, mends),
                lambda: mend_photo(actor, self._with_pixels(seen, data, standard, ()), mends, standard=standard),
            )
        return self._whole.recall((seen.key, ()), lambda: _read_again(seen, data))


def _note(standard: Standard) -> None:
    note_judged(standards_folder(), standard, plates=1, at=datetime.now().astimezone())


def _seen(key: str, graded: GradedPhoto, standard: Standard, *, plate_key: str, labels: bytes | None) -> SeenPhoto:
    picture = draw_plate(graded, standard)
    packed = None if picture is None else picture_jpeg(picture)
    return SeenPhoto(key=key, plate_key=plate_key, graded=without_pixels(graded), picture=packed, labels=labels)


def _read_again(seen: SeenPhoto, data: bytes) -> GradedPhoto:
    found = unmended(seen.graded)
    if found.plate is None or seen.labels is None:
        return found
    plate = replace(found.plate, labels=labels_from_png(seen.labels))
    return replace(found, photo=read_photo(data, name=found.name), plate=plate)


def _key(name: str, data: bytes, standard: Standard, known: KnownValues | None, studies: Sequence[Study]) -> str:
    cards = () if known is None else (known.on.isoformat(), *(write_values(values) for values in known.values))
    spoken = current_language()  # in which the picture is written
    return _digest(data, name, standard, spoken, *cards, *(write_study(study).decode() for study in studies))


def _plate_key(name: str, data: bytes, standard: Standard, graded: GradedPhoto) -> str:
    """Of what is known of cards only its own card's values: they say how colours are read, and so where fries end."""
    values = () if graded.values is None else (write_values(graded.values),)
    return _digest(data, name, standard, *values)


def _digest(data: bytes, name: str, standard: Standard, *more: str) -> str:
    digest = hashlib.sha256(data)
    for part in (name, METHOD_VERSION, write_standard(standard), standard.stage, *more):
        digest.update(b"\0" + part.encode())
    return digest.hexdigest()


@st.cache_resource(show_spinner=False)
def grader() -> Grader:
    """The one grader of this machine, for all who have the page open; only who has a photo's bytes can recall it."""
    return Grader()


def grade_batch(photos: Photos, standard: Standard) -> SeenBatch:
    """Grade all photos with a bar that says what is being done, mend what people mended, and judge the batch."""
    known, studies = known_today(), kept_studies()
    bar = st.progress(0.0, text=tr("Waiting for its turn"))
    seen = []
    for turn, (name, data) in enumerate(photos):

        def tell(share: float, doing: str, *, turn: int = turn) -> None:
            done = min(max((turn + share) / len(photos), 0.0), 1.0)
            bar.progress(done, text=tr("Photo {n} of {all}: {doing}", n=turn + 1, all=len(photos), doing=retell(doing)))

        found = grader().grade(name, data, standard, tell, known=known, studies=studies)
        grader().note(found, standard)
        mends = kept_mends(found.plate_key)
        seen.append(grader().mend(found, data, standard, mends, actor=acting.who_acts()) if mends else found)
    bar.empty()
    judged = [one.graded for one in seen]
    mended = any(one.mending for one in judged)
    return SeenBatch(
        photos=tuple(seen),
        files=tuple(data for _, data in photos),
        standard=standard,
        verdict=judge_photos(judged, standard),
        unmended_verdict=judge_photos([unmended(one) for one in judged], standard) if mended else None,
    )


def grade_one(name: str, data: bytes, standard: Standard, *, what: str) -> GradedPhoto:
    """Grade, or recall, one photo to try a standard on; nothing is recorded as judged. `what` it is is told people."""
    bar = st.progress(0.0, text=tr("Waiting for its turn"))

    def tell(share: float, doing: str) -> None:
        bar.progress(min(max(share, 0.0), 1.0), text=f"{what}: {retell(doing)}")

    seen = grader().grade(name, data, standard, tell, known=known_today(), studies=kept_studies())
    bar.empty()
    return seen.graded


def kept_mends(plate_key: str) -> Mends:
    """What was mended on a photo since this page was opened; nothing is kept beyond that."""
    kept: dict[str, Mends] = st.session_state.setdefault("mends", {})
    return kept.get(plate_key, ())


def keep_mends(plate_key: str, mends: Mends) -> None:
    """From the next run of the page on these mends count for a photo."""
    st.session_state.setdefault("mends", {})[plate_key] = mends
