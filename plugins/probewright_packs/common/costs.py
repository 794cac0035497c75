"""What work costs where neither a case nor a shop says it."""

from __future__ import annotations

from probewright.packs import DefaultCosts, from_memory

#: A callback takes two hours with its way; a second trip for a part takes the way and setting up again.
USUAL_COSTS = DefaultCosts(
    labour_per_hour=from_memory(90.0),
    callback=from_memory(180.0),
    verification_minutes=from_memory(6.0),
    return_visit=from_memory(110.0),
)
