"""What the fries of a painted view are found by, with all that it needs."""

from grader.arrays import MaskArray
from grader.fries.foreground import Foreground, find_foreground
from grader.fries.sight import Sight, see
from grader.fries.view import View
from grader.fries.yellow import yellow_fries

WIDTH_MM = 9.0


def seen(view: View) -> Sight:
    """What the network says of it."""
    return see(view, yellow_fries(view))


def told_by(view: View, sight: Sight) -> Foreground:
    """What is fry, by what the network is made to say."""
    return find_foreground(view, sight, yellow_fries(view), cut_width_mm=WIDTH_MM)


def found_in(view: View) -> MaskArray:
    """(h, w) True where fry is found."""
    return told_by(view, seen(view)).fries
