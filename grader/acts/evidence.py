"""Sealed files: made, and checked."""

from grader.evidence.case_making import make_case as _make_case
from grader.evidence.case_making import note_made as _note_made
from grader.evidence.keyring import Keyring
from grader.evidence.sealing import seal as _seal
from grader.evidence.verifying import verify as _verify
from grader.roles.model import Duty, behind

make_key = behind(Duty.EVIDENCE, Keyring.make, signs="by")
make_case = behind(Duty.EVIDENCE, _make_case, signs="wanted")
seal = behind(Duty.EVIDENCE, _seal)
note_made = behind(Duty.EVIDENCE, _note_made)
verify = behind(Duty.VERIFY, _verify)
