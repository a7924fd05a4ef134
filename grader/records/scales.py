"""A scale made from plates, ready for JSON: anchors, target, how well its steps separate, what is doubtful."""

from collections import Counter
from collections.abc import Sequence

from grader.records.json_values import Json, number
from grader.scale_fit import ScaleProposal, Separation, StepPlate


def proposal_record(proposal: ScaleProposal, plates: Sequence[StepPlate]) -> Json:
    """Everything that was found; figures in CIE 2000 units end in `_de`, places and boundaries are in steps."""
    scale, confusion = proposal.scale, proposal.confusion
    names = [step.name for step in scale.steps]
    counts = Counter(plate.step for plate in plates)
    return {
        "steps": [{"name": step.name, "lab": list(step.lab), "plates": counts[step.name]} for step in scale.steps],
        "target_from": scale.target_from,
        "target_to": scale.target_to,
        "off_scale_de": scale.off_scale_de,
        "boundaries": [number(place) for place in proposal.boundaries],
        "held_out": {
            "plates": confusion.plates,
            "right": confusion.right,
            "right_share_at_least": number(confusion.right_share_at_least),
            "put": {
                name: dict(zip(names, row.tolist(), strict=True))
                for name, row in zip(names, confusion.put, strict=True)
            },
            "wrong": [{"plate": plate, "step": step, "put_on": put} for plate, step, put in confusion.wrong],
        },
        "neighbours": [_neighbours(pair) for pair in proposal.separations],
        "warnings": [
            {"code": one.code, "message": one.message, "hint": one.hint, "refuses": one.refuses}
            for one in proposal.warnings
        ],
    }


def _neighbours(pair: Separation) -> Json:
    return {
        "paler": pair.paler,
        "darker": pair.darker,
        "apart_de": number(pair.apart_de),
        "one_plate_u_de": number(pair.method_u * pair.apart_de),
        "plates_sd_de": number(pair.plates_sd * pair.apart_de),
        "wrong_by_method": number(pair.wrong_by_method),
        "wrong_with_plates": number(pair.wrong_with_plates),
    }
