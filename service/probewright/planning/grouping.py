"""The work of a visit in the order in which it is done, grouped by state and zone.

Each state is come to once, and in it each zone: the state of the next step first, then the others by when they are
begun on average, each weighed by how likely it is; likewise the zones of a state, and the work in a zone.  A test that
may be done in every state is done in the first.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import Final, Literal

from probewright.packs.model import Repair, Test
from probewright.planning.following import Work
from probewright.planning.model import PlanningModel
from probewright_schemas.visit_records import WorkGroup, WorkItem

#: Work that is less likely is not told, unless it is the next step.
LEAST: Final = 0.02


def grouped(model: PlanningModel, works: Sequence[Work]) -> tuple[WorkGroup, ...]:
    """Group what a visit may come to.

    Parameters
    ----------
    model : PlanningModel
    works : sequence of Work
        The next step first.
    """
    told = [work for i, work in enumerate(works) if i == 0 or work.probability >= LEAST]
    place = {id(work): _place(model, work) for work in told}
    for work in told[1:]:
        if work.action.kind == "test" and model.tests.anywhere[work.action.index]:
            place[id(work)] = (place[id(told[0])][0], place[id(work)][1])
    by_state = _gathered(told, {id(work): place[id(work)][0] for work in told})
    return tuple(
        _group(model, place[id(here[0])], here)
        for in_state in by_state
        for here in _gathered(in_state, {id(work): place[id(work)][1] for work in in_state})
    )


def _place(model: PlanningModel, work: Work) -> tuple[int, int]:
    """State and zone, as positions in the ground."""
    action = work.action
    if action.kind == "test":
        return int(model.tests.state[action.index]), int(model.tests.zone[action.index])
    record = model.repairs.records[action.index]
    zones = [model.ground.zone_at[zone] for zone in record.zones]
    return int(model.repairs.state[action.index]), zones[0] if zones else -1


def _gathered(works: Sequence[Work], key: Mapping[int, Hashable]) -> list[list[Work]]:
    """Work of one key taken together; the key of the first work first, then by when it is begun on average."""
    found: dict[Hashable, list[Work]] = {}
    for work in works:
        found.setdefault(key[id(work)], []).append(work)
    if not found:
        return []
    first, *rest = found.values()
    return [first, *sorted(rest, key=_begun)]


def _begun(works: Sequence[Work]) -> tuple[float, str]:
    weight = sum(work.probability for work in works)
    return sum(work.probability * work.start for work in works) / weight, works[0].action.id


def _record(model: PlanningModel, work: Work) -> Test | Repair:
    records: Sequence[Test | Repair] = (
        model.tests.records if work.action.kind == "test" else model.repairs.records
    )
    return records[work.action.index]


def _item(model: PlanningModel, work: Work) -> WorkItem:
    kind: Literal["test", "repair"] = "test" if work.action.kind == "test" else "repair"
    title = _record(model, work).title
    return WorkItem(kind, work.action.id, title, round(work.minutes, 1), round(min(1.0, work.probability), 4))


def _group(model: PlanningModel, place: tuple[int, int], works: Sequence[Work]) -> WorkGroup:
    state, zone = place
    ground = model.ground
    zones = [] if zone < 0 else [zone]
    shut = [z for z in zones if ground.opens[z]]
    cautions = dict.fromkeys(c for work in works for c in _record(model, work).cautions)
    told = ground.tell(state, zones, shut, (), tuple(cautions))
    return WorkGroup(
        ground.states[state].id,
        told.steps,
        tuple(_item(model, work) for work in works),
        told.cautions,
        None if zone < 0 else ground.zones[zone].id,
    )
