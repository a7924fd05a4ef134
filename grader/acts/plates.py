"""Plates: graded and kept, mended, called by a cook."""

from collections.abc import Sequence
from dataclasses import replace

from grader.grading import GradedPhoto
from grader.mending import mend_photo as _mend_photo
from grader.records.database import House, Setting
from grader.records.database import keep_decision as _keep_decision
from grader.records.database import keep_graded as _keep_graded
from grader.records.database import know_kitchen as _know_kitchen
from grader.records.database.colour_calls import keep_call as _keep_call
from grader.records.database.importing import BatchKeeper
from grader.records.database.line_sheets import batch_for as _batch_for
from grader.records.database.line_sheets import keep_sheet as _keep_sheet
from grader.records.database.plate_checks import keep_facts as _keep_facts
from grader.records.database.reading import batches_page as _batches_page
from grader.records.database.sample_times import draw_for_shift as _draw_for_shift
from grader.roles.model import Actor, Duty, behind, require
from grader.standard.model import Standard

know_kitchen = behind(Duty.GRADE, _know_kitchen, signs="setting")
keep_graded = behind(Duty.GRADE, _keep_graded, signs="setting")
keep_decision = behind(Duty.GRADE, _keep_decision, signs="by")
keep_facts = behind(Duty.GRADE, _keep_facts, signs="by")
keep_call = behind(Duty.GRADE, _keep_call, signs="call")
draw_for_shift = behind(Duty.GRADE, _draw_for_shift, signs="setting")
batch_for = behind(Duty.GRADE, _batch_for, signs="setting")
batches_of_line = behind(Duty.GRADE, _batches_page)
keep_sheet = behind(Duty.GRADE, _keep_sheet, signs="by")
mend_photo = behind(Duty.MENDING, _mend_photo, signs="mends")


def batch_keeper(
    actor: Actor, house: House, setting: Setting, standard: Standard, graded: Sequence[GradedPhoto]
) -> BatchKeeper:
    """What keeps a batch of these photos, in the name of whoever logged in; mended by hand, that takes the duty too.

    Raises
    ------
    NotAllowed
        Who acts may not keep them.
    """
    require(actor, Duty.GRADE)
    if any(one.mending is not None for one in graded):
        require(actor, Duty.MENDING)
    own = replace(setting, by=actor.name) if actor.name else setting
    return BatchKeeper(house=house, standard=standard, setting=own)
