"""Changes of several parts put together, fault by fault."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from probewright.packs import Change, Stuck

Changes = Mapping[str, tuple[Change, ...]]


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


def rests(*contacts: str) -> tuple[Change, ...]:
    """Driven contacts that nothing drives: they stay open.

    >>> rests("relay")
    (Stuck(switch='relay', position='open'),)
    """
    return tuple(Stuck(contact, "open") for contact in contacts)
