"""The house's own values, and its phones."""

from dataclasses import replace

from grader.records.house_values import HouseValues
from grader.records.house_values import change_house_values as _change_house_values
from grader.roles.model import Actor, Duty, behind, require
from grader.serving.pairing import Pairings

change_house_values = behind(Duty.HOUSE, _change_house_values)
new_code = behind(Duty.HOUSE, Pairings.new_code)
unpair_all = behind(Duty.HOUSE, Pairings.unpair_all)


def remember_place(actor: Actor, told: HouseValues) -> None:
    """Remember kitchen, shift, standard and initials for the next visit, and nothing else of the house's values.

    A login's name is nobody else's: it is not remembered.

    Raises
    ------
    NotAllowed
        Who acts may not grade.
    HouseValuesError
        One of them can't be.
    OSError
        The file can't be written.
    """
    require(actor, Duty.GRADE)
    remembered = ("kitchen", "zone", "shift", "standard", *(() if actor.name else ("by",)))
    place = {name: getattr(told, name) for name in remembered}
    _change_house_values(lambda kept: replace(kept, **place))
