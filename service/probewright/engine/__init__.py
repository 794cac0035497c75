"""The pure functions behind every way in: a case and a pack go in, an answer comes out.

May import: ``planning``, ``inference`` and everything below them.
"""

from probewright.engine.machine import check_readings, diagnose, laid_out, score_readings, warm_up
from probewright.engine.visit import plan_visit

__all__ = ["check_readings", "diagnose", "laid_out", "plan_visit", "score_readings", "warm_up"]
