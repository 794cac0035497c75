"""The ground that work is done on: states of the appliance, access zones, and the way from one to the other.

A state costs its minutes each time it is entered.  Covers come off in the *safe* state only: the one without power and
gas that has the lowest risk.  To take a reading with power behind a closed cover therefore leads through the safe
state.  The function is verified in the *running* state: powered, with gas where the family has it.

The way to the state is always told, even where the technician should stand there already: an answer must be safe to
follow on its own.  Covers that are open are not opened again.  Cautions stand in the order of danger: those of a state
with power, gas or risk first, then those of the work, of the covers, and of safe states; each once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from probewright.errors import PackModelError
from probewright.packs.model import Family, State, Zone

Array = NDArray[np.float64]

#: The present state when nobody knows it.
ANYWHERE = -1


@dataclass(frozen=True, slots=True)
class Told:
    """A piece of work as it is told: what to do, and what to mind."""

    steps: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """States and zones of a family, sorted by id.

    Attributes
    ----------
    safe, running : int
        Positions in ``states``.
    opens : ndarray of shape (n_zones,)
        1 for zones that are closed until somebody opens them.
    zone_minutes : ndarray of shape (n_zones,)
    move : ndarray of shape (n_states + 1, n_states)
        Minutes from each state (last row: nobody knows which) to each.
    can_open : ndarray of bool, shape (n_states + 1,)
        States in which covers may come off: those without power and gas, and the safe one.
    """

    states: tuple[State, ...]
    zones: tuple[Zone, ...]
    state_at: Mapping[str, int]
    zone_at: Mapping[str, int]
    safe: int
    running: int
    opens: Array
    zone_minutes: Array
    move: Array
    can_open: NDArray[np.bool_]

    @classmethod
    def of(cls, family: Family) -> Self:
        """Lay out a family's states and zones.

        Raises
        ------
        PackModelError
            When the family has no state.
        """
        if not family.states:
            raise PackModelError(f"family {family.id!r} has no states to work in")
        states = tuple(sorted(family.states, key=lambda s: s.id))
        zones = tuple(sorted(family.zones, key=lambda z: z.id))
        at = range(len(states))
        safe = min(at, key=lambda i: (states[i].powered, states[i].gas_on, states[i].risk))
        entering = np.array([float(state.minutes) for state in states])
        return cls(
            states=states,
            zones=zones,
            state_at={state.id: i for i, state in enumerate(states)},
            zone_at={zone.id: i for i, zone in enumerate(zones)},
            safe=safe,
            running=min(at, key=lambda i: (not states[i].powered, not states[i].gas_on, states[i].risk)),
            opens=np.array([float(bool(zone.minutes > 0 or zone.steps)) for zone in zones], dtype=np.float64),
            zone_minutes=np.array([float(zone.minutes) for zone in zones], dtype=np.float64),
            move=entering * (1.0 - np.eye(len(states) + 1, len(states))),
            can_open=np.array([*(i == safe or not (states[i].powered or states[i].gas_on) for i in at), False]),
        )

    def state(self, name: str, record: str) -> int:
        """Position of a state that a record names."""
        return _place(self.state_at, name, record, "state")

    def zone(self, name: str, record: str) -> int:
        """Position of a zone that a record names."""
        return _place(self.zone_at, name, record, "zone")

    def trip(self, present: int, state: int, *, opening: bool) -> tuple[int, ...]:
        """The states to enter, one after the other, to work in a state; ``opening`` when a cover comes off first."""
        live = self.states[state].powered or self.states[state].gas_on
        wanted = (self.safe, state) if opening and live else (state,)
        return wanted[1:] if wanted[0] == present else wanted

    def minutes(self, trip: Iterable[int]) -> float:
        """Minutes of entering states."""
        return sum(float(self.states[i].minutes) for i in trip)

    def reach(self, wanted: Sequence[int], opening: Sequence[bool]) -> Array:
        """Minutes to each wanted state, without opening.

        Returns
        -------
        ndarray of shape (n_states + 1, len(wanted))
            Rows are the present state, the last when nobody knows it.
        """
        works = list(zip(wanted, opening, strict=True))
        present = [*range(len(self.states)), ANYWHERE]
        ways = [[self.minutes(self.trip(p, state, opening=covers)) for state, covers in works] for p in present]
        return np.array(ways, dtype=np.float64).reshape(len(present), len(works))

    def tell(
        self, state: int, zones: Sequence[int], shut: Sequence[int], steps: Sequence[str], cautions: Sequence[str]
    ) -> Told:
        """Work in a state and some zones, of which some are shut, with the way there."""
        first, *more = [self.states[i] for i in self.trip(ANYWHERE, state, opening=bool(shut))]
        covers = [step for i in shut for step in self.zones[i].steps]
        danger, safe = [s for s in (first, *more) if _dangerous(s)], [s for s in (first, *more) if not _dangerous(s)]
        minded = (*_cautions(danger), *cautions, *_cautions(self.zones[i] for i in zones), *_cautions(safe))
        way = (*first.steps, *covers, *(step for state_after in more for step in state_after.steps))
        return Told((*way, *steps), tuple(dict.fromkeys(minded)))


def _place(places: Mapping[str, int], name: str, record: str, kind: str) -> int:
    if name not in places:
        raise PackModelError(f"{record} names {kind} {name!r}, which the family does not have")
    return places[name]


def _cautions(records: Iterable[State | Zone]) -> list[str]:
    return [caution for record in records for caution in record.cautions]


def _dangerous(state: State) -> bool:
    return state.powered or state.gas_on or state.risk > 0
