"""Whole jobs played against a hidden truth, to see what advice is worth before anybody drives.

May import: ``engine``, ``settings``, ``planning``, ``inference``, ``packs`` and what they build on.
"""

from probewright.simulation.report import document, text
from probewright.simulation.run import POLICIES, Plan, simulate

__all__ = ["POLICIES", "Plan", "document", "simulate", "text"]
