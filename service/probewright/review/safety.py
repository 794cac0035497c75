"""Work that can hurt: cautions, steps, proofs, and hazards that clear again."""

from __future__ import annotations

from collections.abc import Iterator

from probewright.packs.model import Family, Interlock, Repair, State, Stated, Table, Test, Zone
from probewright.review.catalogue import remark
from probewright.review.records import of_kind
from probewright.review.remark import Remark

#: A fault raises a hazard where a look shows the dangerous outcome this often.
RAISED = 0.1


def safety(family: Family) -> Iterator[Remark]:
    """Everything that this module looks for."""
    states = {state.id: state for state in family.states}
    zones = {zone.id: zone for zone in family.zones}
    if not family.cautions:
        yield remark("family_without_cautions", "family", "it has no cautions")
    for name, state in of_kind(family, "states"):
        if (state.powered or state.gas_on) and not state.steps:
            yield remark("state_without_steps", name, f"{_hot(state)}, and has no steps to get there")
    for name, zone in of_kind(family, "zones"):
        if zone.minutes > 0 and not zone.steps:
            yield remark("opening_without_steps", name, f"it takes {zone.minutes:g} minutes to open, and has no steps")
    for test in family.tests:
        yield from _test(test, states, zones)
    for repair in family.repairs:
        yield from _repair(repair, family, states, zones)
    for lock in family.interlocks:
        yield from _interlock(lock)


def _hot(state: State) -> str:
    told = (("it is powered", state.powered), ("gas is on", state.gas_on))
    return " and ".join(words for words, holds in told if holds)


def _test(test: Test, states: dict[str, State], zones: dict[str, Zone]) -> Iterator[Remark]:
    """A look has the cautions of its state, and of its zone, unless something burns; what is told needs none."""
    if test.reported:
        return
    live = [states[name] for name in test.states if states[name].powered or states[name].gas_on]
    zone = zones[test.zone]
    bare = zone.minutes > 0 and not zone.cautions
    if live and not test.cautions and (test.kind != "seen" or bare or _lights(test, live)):
        why = "something is lit" if _lights(test, live) else "something is open or measured"
        told = f"{why} while {_hot(live[0])} (state {live[0].id}), and it has no cautions of its own"
        yield remark("work_without_cautions", f"test {test.id}", told)
    if not test.steps and test.kind != "seen":
        yield remark("work_without_steps", f"test {test.id}", f"a {test.kind} test without steps")


def _lights(test: Test, live: list[State]) -> bool:
    return test.command != "off" and any(state.gas_on for state in live)


def _repair(
    repair: Repair, family: Family, states: dict[str, State], zones: dict[str, Zone]
) -> Iterator[Remark]:
    """A setting that is changed from outside has the cautions of its state; what is opened, fitted or lit has not."""
    name, state = f"repair {repair.id}", states[repair.state]
    live = state.powered or state.gas_on
    opened = repair.part is not None or any(zones[zone].minutes > 0 for zone in repair.zones)
    if live and not repair.cautions and (state.gas_on or opened):
        told = f"it is done while {_hot(state)} (state {state.id}), and has no cautions of its own"
        yield remark("work_without_cautions", name, told)
    if not repair.steps:
        yield remark("work_without_steps", name, "it has no steps")
    why = _hazardous(repair, family, opened=live and (state.gas_on or opened))
    if why and not repair.closing_checks:
        yield remark("hazardous_repair_without_closing_checks", name, f"{why}, and names no closing checks")


def _hazardous(repair: Repair, family: Family, *, opened: bool) -> str:
    """Why a repair is hazardous, or nothing; ``opened`` is whether power or gas may come at what is opened."""
    if opened:
        return "it is done with power or gas"
    if repair.skill is not None:
        return f"it takes the skill {repair.skill}"
    raising = _raising(family)
    dangerous = next((fault for fault in repair.cures if fault in raising), None)
    return "" if dangerous is None else f"it cures {dangerous}, which raises a hazard"


def _raising(family: Family) -> frozenset[str]:
    """Faults that bring about what raises a hazard: a complaint, or what is seen or read."""
    named = {name for lock in family.interlocks for name in lock.complaints}
    found = {fault for complaint in family.complaints if complaint.id in named for fault in complaint.shown_by}
    tests = {test.id: test for test in family.tests}
    for lock in family.interlocks:
        for name, outcomes in lock.seen.items():
            tables = (model for model in tests[name].models if isinstance(model, Table))
            found |= {fault for table in tables for fault, row in table.by_fault.items()
                      if sum(row.get(outcome, 0.0) for outcome in outcomes) >= RAISED}  # fmt: skip
        for name, limit in lock.above.items():
            stated = (model for model in tests[name].models if isinstance(model, Stated))
            found |= {fault for model in stated for fault, spread in model.by_fault.items() if spread.median > limit}
    return frozenset(found)


def _interlock(lock: Interlock) -> Iterator[Remark]:
    """Without ``cleared_by`` a later reading of the same test prevails, but a complaint stands for ever."""
    if lock.complaints and not lock.cleared_by:
        told = f"the complaint {lock.complaints[0]} raises it, and nothing clears it"
        yield remark("hazard_never_clears", f"interlock {lock.id}", told)
