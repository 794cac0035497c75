"""Changes of several parts put together, fault by fault; and records restricted to builds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from probewright.packs import (
    Change,
    Circuit,
    Fault,
    Leak,
    Level,
    Part,
    Repair,
    Source,
    Stuck,
    Swap,
    Switch,
    Test,
    When,
)

Changes = Mapping[str, tuple[Change, ...]]
_Record = TypeVar("_Record", Part, Switch, Source, Circuit, Fault, Test, Repair, Part | Source, Part | Switch | Source)


def only(when: When, records: Iterable[_Record]) -> tuple[_Record, ...]:
    """The same records, restricted to builds beyond what restricts them already.

    >>> from probewright.packs import Resistance, exactly, from_memory
    >>> only({"heat": "electric"}, (Part("heater", "hot", "neutral", Resistance(exactly(from_memory(12.0)))),))[0].when
    {'heat': 'electric'}
    """
    return tuple(replace(record, when={**record.when, **when}) for record in records)


def together(*mappings: Changes) -> dict[str, tuple[Change, ...]]:
    """What each fault does, all mappings taken together: one that stands in several brings the changes of all.

    >>> one, other = {"board_dead": rests("bake_relay")}, {"board_dead": rests("broil_relay")}
    >>> len(together(one, other)["board_dead"])
    2
    """
    whole: dict[str, tuple[Change, ...]] = {}
    for changes in mappings:
        for fault, of_fault in changes.items():
            known = whole.get(fault, ())
            whole[fault] = (*known, *(change for change in of_fault if change not in known))
    return whole


def under_all(faults: Iterable[str], changes: tuple[Change, ...]) -> dict[str, tuple[Change, ...]]:
    """The same changes under each of some faults.

    >>> sorted(under_all(("board_dead", "control_locked"), rests("relay")))
    ['board_dead', 'control_locked']
    """
    return dict.fromkeys(faults, changes)


def of_faults(faults: Iterable[str], changes: Changes) -> dict[str, tuple[Change, ...]]:
    """What some faults do: a common part may have more faults than a family lists.

    >>> sorted(of_faults(("relay_open",), {"relay_open": rests("relay"), "relay_welded": ()}))
    ['relay_open']
    """
    kept = set(faults)
    return {fault: of_fault for fault, of_fault in changes.items() if fault in kept}


def fitting(parts: Iterable[Part | Switch | Source], changes: Changes) -> dict[str, tuple[Change, ...]]:
    """The changes that a circuit of these parts can carry out; faults that do nothing there are left out.

    For parts that stand in several circuits, as a motor and a contact that it moves.

    >>> from probewright.packs import exactly, from_memory
    >>> relay = Switch("relay", "hot", "out", ("run",), exactly(from_memory(0.05)))
    >>> fitting((relay,), {"dead": rests("relay", "another"), "jammed": rests("another")})
    {'dead': (Stuck(switch='relay', position='open'),)}
    """
    there = tuple(parts)
    ids, nodes = {part.id for part in there}, {node for part in there for node in (part.a, part.b)}
    kept = {fault: tuple(c for c in of_fault if _touches(c) <= (nodes if isinstance(c, Leak) else ids))
            for fault, of_fault in changes.items()}  # fmt: skip
    return {fault: of_fault for fault, of_fault in kept.items() if of_fault}


def _touches(change: Change) -> set[str]:
    """The parts that a change is about, or the nodes that a leak joins."""
    if isinstance(change, Leak):
        return {change.a, change.b}
    if isinstance(change, Swap):
        return {change.first, change.second}
    if isinstance(change, Level):
        return {change.source}
    return {change.switch if isinstance(change, Stuck) else change.part}


def rests(*contacts: str) -> tuple[Change, ...]:
    """Driven contacts that nothing drives: they stay open.

    >>> rests("relay")
    (Stuck(switch='relay', position='open'),)
    """
    return tuple(Stuck(contact, "open") for contact in contacts)
