"""What a job costs: the same rules for whoever decides what to do.

Minutes of moving between states, of opening zones (once a visit), of tests, repairs and of verifying each repair cost
labour; parts cost their price.  A job that is not resolved costs a callback, and then the remedies of what is still
wrong in full: whoever comes next must do that too.  A part that is not on hand costs a second trip.
"""

from __future__ import annotations

from collections.abc import Iterable

from probewright.packs.model import Family, Repair, Test
from probewright.planning.ground import ANYWHERE, Ground
from probewright.planning.work import anywhere, state_of


class Ledger:
    """The bill of one job."""

    def __init__(self, family: Family) -> None:
        self.family, self.ground = family, Ground.of(family)
        self._prices = {part.id: float(part.price) for part in family.parts}
        self.per_minute = float(family.costs.labour_per_hour) / 60.0
        self.minutes, self.parts, self.extra = 0.0, 0.0, 0.0
        self.arrive()

    def arrive(self) -> None:
        """Stand before a closed appliance, in a state that nobody knows."""
        self.present = ANYWHERE
        self.shut = {i for i, opens in enumerate(self.ground.opens.tolist()) if opens}

    @property
    def cost(self) -> float:
        """All so far, in the family's currency."""
        return self.minutes * self.per_minute + self.parts + self.extra

    def _opened(self, zones: tuple[str, ...], record: str) -> float:
        wanted = {self.ground.zone(zone, record) for zone in zones} & self.shut
        self.shut -= wanted
        return float(sum(self.ground.zone_minutes[zone] for zone in sorted(wanted)))

    def _move(self, state: int, opening: bool) -> float:
        minutes = self.ground.minutes(self.ground.trip(self.present, state, opening=opening))
        self.present = state
        return minutes

    def test(self, test: Test) -> str | None:
        """Pay for a test; returns the state that it is done in, None for the one that the appliance is in anyway."""
        closed = self.ground.zone(test.zone, f"test {test.id!r}") in self.shut
        state = state_of(test, self.ground)
        self.minutes += float(test.minutes) + self._opened((test.zone,), f"test {test.id!r}")
        if state is None or anywhere(test, self.ground):
            return None
        self.minutes += self._move(state, closed)
        return self.ground.states[state].id

    def repair(self, repair: Repair) -> None:
        """Pay for a repair, its part, and its verification with power and gas on."""
        self.minutes += self.repair_minutes(repair)
        opened = {self.ground.zone(zone, f"repair {repair.id!r}") for zone in repair.zones}
        self.shut -= opened
        self.present = self.ground.running
        self.parts += self.price(repair)

    def repair_minutes(self, repair: Repair) -> float:
        """Minutes that a repair would take from here."""
        record, ground = f"repair {repair.id!r}", self.ground
        closed = {ground.zone(zone, record) for zone in repair.zones} & self.shut
        state = ground.state(repair.state, record)
        way = ground.minutes(ground.trip(self.present, state, opening=bool(closed)))
        back = ground.minutes(ground.trip(state, ground.running, opening=False))
        opening = float(sum(ground.zone_minutes[zone] for zone in sorted(closed)))
        return way + opening + float(repair.minutes) + back + float(self.family.costs.verification_minutes)

    def price(self, repair: Repair) -> float:
        """The price of the part that a repair needs."""
        return self._prices[repair.part] if repair.part is not None else 0.0

    def second_trip(self) -> None:
        """Come again with a part that was missing."""
        self.extra += float(self.family.costs.return_visit)
        self.arrive()

    def unresolved(self, remedies: Iterable[Repair]) -> None:
        """Pay for a callback, and for what is still to be done then."""
        self.extra += float(self.family.costs.callback)
        for repair in remedies:
            self.extra += full_cost(self.family, repair)


def full_cost(family: Family, repair: Repair) -> float:
    """What a repair costs by itself, from a running appliance to a verified repair."""
    ledger = Ledger(family)
    ledger.present = ledger.ground.running
    return ledger.repair_minutes(repair) * ledger.per_minute + ledger.price(repair)


def remedy(family: Family, repairs: Iterable[Repair], fault: str) -> Repair | None:
    """The repair that is cheapest for its chance to cure a fault."""
    able = [repair for repair in repairs if float(repair.cures.get(fault, 0.0)) > 0]
    return min(able, key=lambda r: (full_cost(family, r) / float(r.cures[fault]), r.id), default=None)
