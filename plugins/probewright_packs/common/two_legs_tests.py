"""What can be wrong with a 120/240 V supply, and the readings that show it."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Between, Fault, Limit, ReplaceablePart, Test, When, common_practice, from_memory
from probewright_packs.common.cautions import LIVE_PARTS
from probewright_packs.common.supply import AT_OUTLET, BESIDE_THE_CALL
from probewright_packs.common.two_legs import AT_BLOCK, LEG_VOLTAGE

#: Share of the calls that are made for each fault, all from memory, with its title and its part.
_FAULTS = {
    "both_legs_dead": ("No supply on either leg", 0.015, None),
    "leg_one_dead": ("Leg one dead: a pole of the breaker or a fuse open", 0.012, None),
    "leg_two_dead": ("Leg two dead: a pole of the breaker or a fuse open", 0.012, None),
    "legs_neutral_open": ("Neutral open in the branch or the cord", 0.004, None),
    "service_neutral_open": ("Neutral of the service open: the legs share 240 V unequally", 0.003, None),
    "legs_voltage_low": ("Supply voltage low between the legs", 0.004, None),
    "supply_208_volts": ("Supply is 208 V, two legs of a three-phase network", 0.006, None),
    "block_leg_one_burnt": ("Terminal of leg one burnt at the terminal block", 0.008, "terminal_block"),
    "block_leg_two_burnt": ("Terminal of leg two burnt at the terminal block", 0.008, "terminal_block"),
    "block_neutral_burnt": ("Neutral terminal burnt at the terminal block", 0.003, "terminal_block"),
}
#: Faults that hide each other, or are two readings of one thing.
_EXCLUDES = {
    "both_legs_dead": ("leg_one_dead", "leg_two_dead", "legs_neutral_open", "service_neutral_open",
                       "legs_voltage_low", "supply_208_volts"),
    "legs_voltage_low": ("supply_208_volts", "service_neutral_open"),
    "service_neutral_open": ("supply_208_volts",),
    "leg_one_dead": ("leg_two_dead",),
}  # fmt: skip

#: Ids of all faults of :func:`leg_faults`.
LEG_FAULTS = tuple(_FAULTS)


def leg_faults(when: When | None = None) -> tuple[Fault, ...]:
    """What can be wrong from the service to the terminal block, in builds that have two legs.

    >>> leg_faults({"fuel": "electric"})[0].when
    {'fuel': 'electric'}
    """
    return tuple(
        Fault(id_, title, from_memory(BESIDE_THE_CALL * share), part, _EXCLUDES.get(id_, ()), when or {})
        for id_, (title, share, part) in _FAULTS.items()
    )


def leg_parts() -> tuple[ReplaceablePart, ...]:
    """Parts of the supply that a service technician carries.

    >>> [part.id for part in leg_parts()]
    ['terminal_block']
    """
    return (ReplaceablePart("terminal_block", "Terminal block with its hardware and cord ends", from_memory(45.0)),)


def _at_block(id_: str, title: str, minutes: float, nodes: tuple[str, str], where: tuple[str, str]) -> Test:
    powered, zone = where
    return Test(
        id_, f"Voltage at the terminal block, {title}", "voltage", (powered,), zone, from_memory(minutes),
        (Between("legs", *nodes),), unit="V", instrument="multimeter",
        steps=(f"Clip on {title} on the line side of the block, where the supply comes in.",
               "Read with the appliance connected, everything that heats off, and the display or a lamp on."),
        cautions=(LIVE_PARTS, "A leg that reads nothing may be fed back through an element: take both for live.",
                  "Leave repairs of the house wiring to a licensed electrician."),
    )  # fmt: skip


def leg_tests(
    powered: str, zone: str, *, circuit: str, command: str, when: When | None = None
) -> tuple[Test, ...]:
    """The voltages at the terminal block, taken in a powered state.

    ``circuit`` and ``command`` say where and when something heats on 240 V: there the block is read under load.

    >>> [test.id for test in leg_tests("live", "rear", circuit="bake", command="bake")][:2]
    ['legs_voltage', 'leg_one_to_neutral']
    """
    where = (powered, zone)
    tests = (
        replace(_at_block("legs_voltage", "from leg to leg", 3.0, ("inlet_one", "inlet_two"), where),
                limits=(AT_BLOCK,), measures="supply_voltage"),
        replace(_at_block("leg_one_to_neutral", "from leg one to neutral", 2.0, ("inlet_one", "inlet_neutral"), where),
                limits=(AT_OUTLET,)),
        replace(_at_block("leg_two_to_neutral", "from leg two to neutral", 2.0, ("inlet_two", "inlet_neutral"), where),
                limits=(AT_OUTLET,)),
        replace(_at_block("legs_neutral_to_ground", "from neutral to ground", 2.0, ("inlet_neutral", "chassis"), where),
                limits=(Limit(high=common_practice(3.0)),)),
        _under_load(circuit, command, where),
    )  # fmt: skip
    return tuple(replace(test, when=when or {}) for test in tests)


def _under_load(circuit: str, command: str, where: tuple[str, str]) -> Test:
    powered, zone = where
    return Test(
        "block_voltage_under_load", "Voltage behind the terminal block while it heats", "voltage", (powered,), zone,
        from_memory(4.0), (Between(circuit, "leg_one", "leg_two"),), unit="V", command=command, limits=(LEG_VOLTAGE,),
        instrument="multimeter",
        steps=("Clip to the two legs behind the block, where the appliance's own wires leave it, and set the controls "
               "so that it heats.",
               "Read once it has heated for a minute: a burnt terminal reads well until it carries current."),
        cautions=(LIVE_PARTS, "A terminal that drops volts under load is hot: do not touch it, switch off soon."),
    )  # fmt: skip
