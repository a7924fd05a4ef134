"""A house's colour scale from plates that the house has named: anchors, target range, how well the steps separate."""

from grader.scale_fit.checking import PlatesInsufficientError, check_steps
from grader.scale_fit.model import Confusion, ScaleProposal, Separation, StepPlate
from grader.scale_fit.plates import step_plate
from grader.scale_fit.proposing import propose_scale
from grader.scale_fit.succeeding import standard_with_scale

__all__ = [
    "Confusion",
    "PlatesInsufficientError",
    "ScaleProposal",
    "Separation",
    "StepPlate",
    "check_steps",
    "propose_scale",
    "standard_with_scale",
    "step_plate",
]
