"""What to grade, and by which standard."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import streamlit as st

from grader.errors import GraderError
from grader.language import retell, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal, tell
from grader.pages.components.words import PRIVACY
from grader.places import sample_folder
from grader.records.kept_files import Kept
from grader.records.kept_standards import check_not_edited, kept_keys, load_kept, standards_folder
from grader.records.naming import PHOTO_SUFFIXES, is_photo
from grader.records.standards import DEFAULT_STANDARD, standard_from_bytes
from grader.roles.model import Duty
from grader.standard import at_stage, load_shipped, stage_names
from grader.standard.model import FINISHED, Standard

OWN_FILE = "own"
_KEPT = "kept:"
CARD_PAGE = Path(__file__).parents[1] / "print_a_card.py"

Photos = tuple[tuple[str, bytes], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleBatch:
    """A batch that ships: rendered, of an invented house."""

    folder: str
    label: str
    story: str


@st.cache_data(show_spinner=False)
def sample_batches() -> tuple[SampleBatch, ...]:
    """The batches of the invented scenario."""
    scenario = tomllib.loads((sample_folder() / "scenario.toml").read_text(encoding="utf-8"))
    return tuple(
        SampleBatch(
            folder=batch["folder"],
            label=f"{batch['day'].day} {batch['day']:%B}, {batch['shift']}",
            story=f"{batch['kitchen']}. {batch['story']}",
        )
        for batch in scenario["batch"]
    )


def _sample_photos(folder: Path) -> Photos:
    return tuple((path.name, path.read_bytes()) for path in sorted(folder.iterdir()) if is_photo(path.name))


def standard(key: str = "standard", *, usual: str = "") -> Standard | None:
    """The house standard to judge by, at the stage that the plates show; None until one without faults is chosen.

    `usual` is what is chosen where nobody chose yet; `chosen_key` tells what was.
    """
    found = _from_choice(tr("House standard"), key, usual=usual)
    if found is None or not found[0].stages:
        return None if found is None else found[0]
    whole = found[0]
    stage = st.segmented_control(
        tr("The plates show fries"),
        stage_names(whole),
        default=FINISHED,
        format_func=retell,
        key="stage" if key == "standard" else f"{key}_stage",
    )
    return at_stage(whole, stage or FINISHED)


def chosen_key(key: str) -> str:
    """What was chosen as standard in this visit; empty before the first choice."""
    return str(st.session_state.get(key) or "")


def standard_to_edit() -> tuple[Standard, tuple[Kept, ...]] | None:
    """The standard that editing begins from, and the versions that the edited one would succeed; None until chosen."""
    return _from_choice(tr("Begin from"), "edited_standard")


def _from_choice(label: str, key: str, *, usual: str = "") -> tuple[Standard, tuple[Kept, ...]] | None:
    """A standard that ships, is kept, or is in a file; of a kept one its newest version, and all of them."""
    shipped = load_shipped()
    kept = [f"{_KEPT}{key}" for key in kept_keys(standards_folder())]
    others = [name for name in shipped if name != DEFAULT_STANDARD]
    own = [OWN_FILE] if acting.may(Duty.STANDARDS) else []  # a cook's plates are judged by the house's standards
    names = [DEFAULT_STANDARD, *others, *kept, *own]
    chosen = st.selectbox(
        label,
        names,
        index=names.index(usual) if usual in names else 0,
        format_func=lambda name: _words(name, shipped),
        key=key,
    )
    if chosen in shipped:
        return shipped[chosen], ()
    if chosen != OWN_FILE:
        versions = load_kept(standards_folder(), chosen.removeprefix(_KEPT))
        return versions[-1].standard, versions
    file = st.file_uploader(tr("Standard, a TOML file"), type=["toml"], key=f"{key}_file")
    if file is None:
        st.caption(tr("Copy one from calibration/standards, change it, and drop it here."))
        return None
    try:
        standard = standard_from_bytes(file.getvalue(), name=file.name)
        check_not_edited(standards_folder(), standard)
    except GraderError as error:
        tell(error)
        return None
    return standard, ()


def _words(name: str, shipped: Mapping[str, Standard]) -> str:
    if name == OWN_FILE:
        return tr("My own file (TOML)")
    return shipped[name].name if name in shipped else tr("Kept: {name}", name=name.removeprefix(_KEPT))


def photos() -> Photos:
    """Photos of one batch: the sender's own, or else a sample batch; empty until something is chosen."""
    files = st.file_uploader(
        tr("Photos of one batch, one plate each, with the printed card"),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        accept_multiple_files=True,
        key="photos",
        help=tr("On a phone this opens the camera too. Send the phone's own files, not copies from a chat."),
    )
    st.caption(tr(PRIVACY))
    if files:
        given = {file.getvalue(): file.name for file in reversed(files)}
        if len(given) < len(files):
            st.caption(tr("A photo that was given twice counts once."))
        return tuple((name, data) for data, name in reversed(given.items()))
    st.page_link(CARD_PAGE, label=tr("No card yet? Print one."), icon=":material/print:")  # a phone folds the menu away
    samples = {batch.folder: batch for batch in sample_batches()}
    chosen = st.pills(
        tr("Or try a sample batch of an invented house (rendered pictures)"),
        list(samples),
        format_func=lambda folder: retell(samples[folder].label),
        key="sample",
    )
    if chosen is None:
        return ()
    st.caption(literal(retell(samples[chosen].story)))
    return _sample_photos(sample_folder() / chosen)
