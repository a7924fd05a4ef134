"""House standards."""

from grader.records.kept_standards import keep_standard as _keep_standard
from grader.roles.model import Duty, behind

keep_standard = behind(Duty.STANDARDS, _keep_standard, signs="signed")
