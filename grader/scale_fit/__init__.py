"""A house's colour scale from plates that the house has named: anchors, target range, how well the steps separate."""

from grader.scale_fit.model import Confusion, ScaleProposal, Separation, StepPlate
from grader.scale_fit.proposing import PlatesInsufficientError, propose_scale
from grader.scale_fit.succeeding import standard_with_scale

__all__ = [
    "Confusion",
    "PlatesInsufficientError",
    "ScaleProposal",
    "Separation",
    "StepPlate",
    "propose_scale",
    "standard_with_scale",
]
