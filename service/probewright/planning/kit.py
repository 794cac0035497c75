"""What a visit has brought along; what it does not say is taken to be there."""

from __future__ import annotations

from probewright.packs.model import Repair, Test
from probewright_schemas.records import Visit


def equipped(test: Test, visit: Visit) -> bool:
    """Whether the instrument of a test is there."""
    return visit.tools is None or test.instrument is None or test.instrument in visit.tools


def skilled(work: Test | Repair, visit: Visit) -> bool:
    """Whether somebody is there who may do a piece of work."""
    return visit.skills is None or work.skill is None or work.skill in visit.skills
