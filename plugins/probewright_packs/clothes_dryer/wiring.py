"""All circuits of the dryer: supply, motor, heat, board, outlet sensor and moisture bars.

Heat, electric: leg one, the control's contact, cycling thermostat (of a timer), high limit, thermal cut-off, heater
contact of the motor's centrifugal switch, element, leg two.  Nothing breaks leg two: a coil that touches its case heats
from there whatever the control is set to.  Heat, gas: the same chain at 120 V, then the burner.
"""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import (
    Capacitance,
    Change,
    Circuit,
    Contact,
    Drift,
    Figure,
    Leak,
    Open,
    Part,
    Requirement,
    Resistance,
    Short,
    Stuck,
    Switch,
    from_memory,
    uniform,
)
from probewright_packs.clothes_dryer.burner_wiring import HEAT_IN_MOTION, burner, burner_changes
from probewright_packs.clothes_dryer.commands import (
    ALL,
    CALLS_FOR_HEAT,
    DOOR_OPEN,
    HEAT,
    RUNNING,
    START,
    WARM,
    WET,
)  # fmt: skip
from probewright_packs.clothes_dryer.motor_wiring import BOARD_IDLE, MOTOR, MOTOR_STANDS, WINDINGS
from probewright_packs.clothes_dryer.options_and_states import ELECTRIC, ELECTRONIC, GAS, TIMER
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.supplies import coupling, fed, fed_changes, supply_circuits
from probewright_packs.common.changes import fitting, of_faults, together, under_all
from probewright_packs.common.motor import heater_contact, heater_contact_changes
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.relay_board import CLOSED, ENOUGH_VOLTS, WELDED, board, relay, relay_changes, undriven
from probewright_packs.common.supply import FREQUENCY
from probewright_packs.common.thermistor import ntc, thermistor_circuit
from probewright_packs.common.thermostat import cutoff, thermostat
from probewright_packs.common.two_legs import LEG_TO_LEG

#: Watts at 240 V, from the least to the most that is fitted; so nothing is told by amperes alone.
ELEMENT_WATTS = (from_memory(4000.0), from_memory(5600.0))
#: Ohms of half the element.
_HALF_ELEMENT = uniform(*(
    Figure(LEG_TO_LEG**2 / watts / 2, "from_memory", f"half of 240 V squared over {watts:g} W, the watts from memory")
    for watts in reversed(ELEMENT_WATTS)
))  # fmt: skip
SENSOR_OHMS, SENSOR_BETA = from_memory(10e3), from_memory(3950.0)

#: Faults under which an electronic control gives no heat: it misses its sensor, or drives nothing at all.
_NO_HEAT_CALLED = (*BOARD_IDLE, "outlet_sensor_open", "outlet_sensor_shorted", "outlet_sensor_harness_open")
#: Faults in the neutral of a dryer with two legs.
_IN_THE_NEUTRAL = ("legs_neutral_open", "block_neutral_burnt")
#: The thermal cut-off, blown by itself or by a blocked vent.
CUTOFF_BLOWN = ("cutoff_open", "cutoff_blown_by_vent")


def _heavy(contact: Switch) -> Switch:
    """A contact for the element's current: more than some hundredths of an ohm would burn it."""
    return replace(contact, contact=evenly(0.002, 0.02))


def _heat_chain() -> tuple[Part | Switch, ...]:
    called = (START, DOOR_OPEN, WARM, *CALLS_FOR_HEAT)
    return (
        _heavy(Switch("timer_heat_contact", "leg_one", "heat_out", called, CLOSED, when=TIMER)),
        _heavy(relay("heat_relay", "leg_one", "heat_out", CALLS_FOR_HEAT, ELECTRONIC)),
        _heavy(thermostat("cycling_thermostat", "heat_out", "harness_in", ALL, (WARM,), TIMER)),
        Part("heat_lead", "heat_out", "harness_in", Resistance(evenly(0.01, 0.03)), ELECTRONIC),
        Part("heat_harness", "harness_in", "limit_in", Resistance(evenly(0.01, 0.03))),
        _heavy(thermostat("high_limit", "limit_in", "cutoff_in", ALL)),
        cutoff("thermal_cutoff", "cutoff_in", "contact_in"),
        _heavy(heater_contact("motor", "contact_in", "heat_feed", RUNNING)),
        Part("heat_stray", "leg_one", "heat_out", Capacitance(coupling())),
        Part("feed_stray", "leg_one", "heat_feed", Capacitance(coupling())),
    )


def _element() -> tuple[Part, ...]:
    half = Resistance(_HALF_ELEMENT)
    return (
        Part("element", "heat_feed", "element_middle", half, ELECTRIC),
        Part("element_end", "element_middle", "leg_two", half, ELECTRIC, like="element"),
        Part("element_insulation", "heat_feed", "chassis", Resistance(decades(5e6, 1e9)), ELECTRIC),
    )


#: A coil that sags to its case about its middle: nearer to an end it trips the breaker, and is no riddle.  Loops of it
#: may lie against the case elsewhere, too, by any ohms.
_TOUCHES: tuple[Change, ...] = (
    Leak("element_middle", "chassis", decades(0.02, 30.0)), Short("element_insulation", decades(0.2, 1e6)),
)  # fmt: skip


def _heat_changes() -> dict[str, tuple[Change, ...]]:
    own: dict[str, tuple[Change, ...]] = {
        "timer_heat_contact_open": (Stuck("timer_heat_contact", "open"),),
        "timer_heat_contact_welded": (Short("timer_heat_contact", WELDED),),
        **relay_changes("heat_relay"),
        "cycling_thermostat_open": (Stuck("cycling_thermostat", "open"),),
        "cycling_thermostat_stuck_closed": (Short("cycling_thermostat", WELDED),),
        "high_limit_open": (Stuck("high_limit", "open"),),
        **under_all(CUTOFF_BLOWN, (Open("thermal_cutoff"),)),
        "heat_harness_open": (Open("heat_harness"),),
        "element_open": (Open("element"),),
        "element_touches_case": _TOUCHES,
        **heater_contact_changes("motor"),
        **burner_changes(),
    }
    stands = under_all(MOTOR_STANDS, (Stuck("motor_heater_contact", "open"),))
    # No neutral leads to an element: what opens it acts by the motor alone.
    fed_by = {fault: of for fault, of in fed_changes(heavy=True).items() if fault not in _IN_THE_NEUTRAL}
    return together(fed_by, stands, undriven(_NO_HEAT_CALLED, "heat_relay"), own)


_HEAT_PARTS = (*fed(two_legs=True), *_heat_chain(), *_element(), *burner("heat_feed"))
_HEAT = Circuit("heat", "earth", _HEAT_PARTS, fitting(_HEAT_PARTS, _heat_changes()), FREQUENCY)

#: The heat as customers meet it, with the drum turning: what keeps the motor from running is no fault of the heat.
_IN_MOTION = replace(
    _HEAT, id=HEAT_IN_MOTION,
    changes={fault: changes for fault, changes in _HEAT.changes.items() if fault not in MOTOR_STANDS},
)  # fmt: skip

_BOARD_PARTS = (*fed(two_legs=False), *board("leg_one", "neutral"))
_BOARD = Circuit("board", "earth", _BOARD_PARTS, fitting(_BOARD_PARTS, fed_changes()), FREQUENCY, ELECTRONIC)


def _outlet_sensor() -> Circuit:
    circuit = thermistor_circuit("outlet_sensor", "outlet_sensor", *ntc(SENSOR_OHMS, SENSOR_BETA), ELECTRONIC)
    kept = of_faults(("outlet_sensor_open", "outlet_sensor_shorted", "outlet_sensor_harness_open"), circuit.changes)
    # Off by some 8 to 18 K: less is hidden in the swing about any setting.
    return replace(circuit, changes={**kept, "outlet_sensor_drifted": (Drift("outlet_sensor", decades(0.5, 0.72)),)})


_MOISTURE = Circuit(
    id="moisture",
    reference="chassis",
    frequency=FREQUENCY,
    parts=(
        Part("moisture_wire", "bars_plug_a", "bar_a", Resistance(evenly(0.05, 0.5))),
        Part("moisture_wire_b", "bars_plug_b", "bar_b", Resistance(evenly(0.05, 0.5))),
        Switch("wet_cloth", "bar_a", "bar_b", (WET,), decades(2e3, 4e4)),
        Part("bar_insulation", "bar_a", "chassis", Resistance(decades(2e7, 2e9))),
        Part("bar_insulation_b", "bar_b", "chassis", Resistance(decades(2e7, 2e9))),
    ),
    changes={
        "moisture_bars_coated": (Contact("wet_cloth", decades(1.5e5, 1e7)),),
        "moisture_wire_open": (Open("moisture_wire"),),
        "moisture_bars_bridged": (Leak("bar_a", "bar_b", decades(50.0, 2e4)),),
    },
    when=ELECTRONIC,
)

CIRCUITS = (*supply_circuits(), MOTOR, WINDINGS, _HEAT, _IN_MOTION, _BOARD, _outlet_sensor(), _MOISTURE)

#: Volts across half an element, whatever its power: from where there is heat at all, from where the air is warm, and
#: from where clothes dry in their time.  Half the voltage is a quarter of the watts.
SOME_HEAT, WARM_AIR, _FULL_HEAT = evenly(22.0, 42.0), evenly(67.0, 85.0), evenly(91.0, 111.0)
#: Amperes of an element, or of an igniter, that is off; the coils of a gas valve alone draw a tenth of an ampere.
_OFF = evenly(0.4, 0.8)


def board_powered(state: str) -> Requirement:
    """What an electronic control needs."""
    return Requirement("board", "board", "voltage", "off", state, ENOUGH_VOLTS, ELECTRONIC)


def element_heats() -> Requirement:
    """What an element needs to warm the air at all."""
    return Requirement(HEAT_IN_MOTION, "element_end", "voltage", HEAT, IN_USE, SOME_HEAT, ELECTRIC)


def element_heats_fully() -> Requirement:
    """What an element needs for clothes to dry in their time."""
    return Requirement(HEAT_IN_MOTION, "element_end", "voltage", HEAT, IN_USE, _FULL_HEAT, ELECTRIC)


def heat_is_off(command: str) -> tuple[Requirement, ...]:
    """That nothing heats under a command that asks for none."""
    return (
        Requirement(HEAT_IN_MOTION, "element_end", "current", command, IN_USE, when=ELECTRIC, at_most=_OFF),
        Requirement(HEAT_IN_MOTION, "igniter", "current", command, IN_USE, when=GAS, at_most=_OFF),
    )
