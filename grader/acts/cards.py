"""What cards were measured to be."""

from grader.card_values import keep_values as _keep_values
from grader.records.card_drift import compare_photo as _compare_photo
from grader.roles.model import Duty, behind

keep_values = behind(Duty.CARDS, _keep_values)
compare_photo = behind(Duty.CARDS, _compare_photo)
