"""The pure functions behind every way in: a case and a pack go in, an answer comes out.

May import: ``planning``, ``inference`` and everything below them.
"""

from probewright.engine.forecasts import Forecast, forecast
from probewright.engine.identity import computation
from probewright.engine.machine import check_readings, diagnose, laid_out, score_readings, warm_up
from probewright.engine.many import Brief, brief_many, diagnose_many
from probewright.engine.swapped import chance_bad_before
from probewright.engine.visit import plan_visit

__all__ = [
    "Brief", "Forecast", "brief_many", "chance_bad_before", "check_readings", "computation", "diagnose",
    "diagnose_many", "forecast", "laid_out", "plan_visit", "score_readings", "warm_up",
]  # fmt: skip
