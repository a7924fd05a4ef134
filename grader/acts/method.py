"""The method watched: studies of it, the card alone each shift."""

from grader.records.control_photos import take_control as _take_control
from grader.records.database.watching import keep_event as _keep_event
from grader.records.gauge_studies import add_reading as _add_reading
from grader.records.gauge_studies import begin_study as _begin_study
from grader.records.shift_baselines import keep_baseline as _keep_baseline
from grader.roles.model import Duty, behind

begin_study = behind(Duty.METHOD, _begin_study)
add_reading = behind(Duty.METHOD, _add_reading)
take_control = behind(Duty.METHOD, _take_control)
keep_baseline = behind(Duty.METHOD, _keep_baseline, signs="signed")
keep_event = behind(Duty.METHOD, _keep_event, signs="setting")
