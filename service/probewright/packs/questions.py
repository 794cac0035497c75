"""What pack checks and the engine both need to know of questions for customers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from probewright.packs.model import State

#: The answer that every question has: the customer cannot tell.
DOES_NOT_KNOW: Final = "does_not_know"


def used_in(states: Sequence[State]) -> State | None:
    """The state in which an appliance is used: powered, with gas where the family has it, at the least risk."""
    order = sorted(states, key=lambda state: (not state.powered, not state.gas_on, state.risk, state.id))
    return order[0] if order else None
