"""Contacts that heat moves: thermostats, which close again, and cut-offs, which stay open once they have blown."""

from __future__ import annotations

from probewright.packs import Change, Open, Part, Resistance, Short, Stuck, Switch, When
from probewright_packs.common.numbers import decades, evenly

#: Ohms of a sound thermostat's closed contact.
_CLOSED = evenly(0.01, 0.1)
_WELDED = decades(0.005, 0.1)


def thermostat(
    name: str, a: str, b: str, commands: tuple[str, ...], opened_in: tuple[str, ...] = (), when: When | None = None
) -> Switch:
    """A contact that rests closed, and opens by heat.

    ``commands`` are all commands of the family, the one at off among them; it is closed under all but those in which
    it has opened.

    >>> operating = thermostat("operating_thermostat", "leg_one", "heater", ("off", "dry", "dry_hot"), ("dry_hot",))
    >>> operating.closed("off", powered=False), operating.closed("dry_hot", powered=True)
    (True, False)
    """
    closed_in = tuple(command for command in commands if command not in opened_in)
    return Switch(name, a, b, closed_in, _CLOSED, when=when or {})


def calling_thermostat(name: str, a: str, b: str, calls_in: tuple[str, ...], when: When | None = None) -> Switch:
    """A contact that a knob closes and heat opens, as in an oven with a mechanical control.

    >>> calling_thermostat("oven_thermostat", "hot", "bake_out", ("bake",)).closed("off", powered=True)
    False
    """
    return Switch(name, a, b, calls_in, _CLOSED, when=when or {})


def thermostat_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """Faults ``name``_open and ``name``_welded of one thermostat.

    >>> sorted(thermostat_changes("high_limit"))
    ['high_limit_open', 'high_limit_welded']
    """
    return {f"{name}_open": (Stuck(name, "open"),), f"{name}_welded": (Short(name, _WELDED),)}


def cutoff(name: str, a: str, b: str, when: When | None = None) -> Part:
    """A one-shot thermal cut-off: closed until it blows, and open for good from then on.

    >>> cutoff("thermal_cutoff", "leg_one", "limit_in").id
    'thermal_cutoff'
    """
    return Part(name, a, b, Resistance(evenly(0.01, 0.05)), when or {})


def cutoff_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """The fault ``name``_blown.  What made it blow is another fault, which usually stands beside it.

    >>> cutoff_changes("thermal_cutoff")
    {'thermal_cutoff_blown': (Open(part='thermal_cutoff'),)}
    """
    return {f"{name}_blown": (Open(name),)}
