"""A drying cabinet that nobody makes, as a pack of a third party: nothing but the contract and the common parts.

A heater between the legs, a drum with a split-phase motor, a gas burner, and one of two temperature sensors.  Numbers
of its own are invented.
"""

from __future__ import annotations

from types import SimpleNamespace

from probewright.packs import (
    CONTRACT_VERSION,
    Between,
    Circuit,
    Closing,
    Complaint,
    DefaultCosts,
    Family,
    Fault,
    Figure,
    Function,
    Open,
    Option,
    OptionValue,
    Part,
    Repair,
    ReplaceablePart,
    Requirement,
    Resistance,
    Spread,
    State,
    Switch,
    Table,
    Test,
    Through,
    Zone,
    hookimpl,
    invented,
    uniform,
)
from probewright_packs import common as parts
from probewright_packs.common import HOT_PARTS, LIVE_PARTS, PROVE_DEAD, legs, together

COMMANDS = ("off", "start", "run", "burn")
ISOLATED, LIVE = "isolated", "live"
NTC, PLATINUM = {"sensor": "ntc"}, {"sensor": "platinum"}


def between(low: float, high: float) -> Spread:
    return uniform(invented(low), invented(high))


OPTIONS = (
    Option("sensor", "Temperature sensor",
           (OptionValue("ntc", "Thermistor", invented(0.7)), OptionValue("platinum", "Platinum", invented(0.3)))),
    parts.curve_option(PLATINUM),
)  # fmt: skip
STATES = (
    State(ISOLATED, "Unplugged and proven dead", False, False, invented(3.0), PROVE_DEAD, (HOT_PARTS,), 0),
    State(LIVE, "Powered", True, True, invented(3.0), ("Close it up and switch on.",), (LIVE_PARTS, HOT_PARTS), 1),
)
ZONES = (Zone("outside", "Outside", invented(0.0)), Zone("rear", "Behind the rear cover", invented(8.0), ("Open it.",)))

#: What leaves the board without supply, so that it drives nothing.
UNFED = ("both_legs_dead", "leg_one_dead", "legs_neutral_open", "board_wire_open", "board_dead")
#: What keeps the drum from turning, besides the motor's own faults.
HELD = (*UNFED, "drum_jammed", "door_switch_open", "drive_relay_open")

MOTOR = parts.motor_changes("motor", HELD)
_HEATING = (
    *legs("block_neutral"),
    parts.relay("heat_relay", "leg_one", "heat_out", ("start", "run", "burn")),
    parts.cutoff("cutoff", "heat_out", "limited"),
    parts.thermostat("limit", "limited", "heater_feed", COMMANDS, ("burn",)),
    Part("heater", "heater_feed", "heater_end", Resistance(between(18.0, 20.0))),
    parts.heater_contact("motor", "heater_end", "leg_two", ("run", "burn")),
)
HEATING = Circuit(
    "heating", "earth", _HEATING,
    parts.fitting(_HEATING, together(
        parts.leg_changes(), parts.relay_changes("heat_relay"), parts.cutoff_changes("cutoff"),
        parts.thermostat_changes("limit"), parts.heater_contact_changes("motor"), MOTOR,
        {"heater_open": (Open("heater"),)}, parts.undriven(UNFED, "heat_relay"),
    )),
    parts.FREQUENCY,
)  # fmt: skip
_DRIVE = (
    *legs("cord_two", "block_two"), *parts.board("leg_one"),
    Switch("door_switch", "leg_one", "door_out", COMMANDS, parts.CLOSED),
    parts.relay("drive_relay", "door_out", "motor_hot", ("start", "run", "burn")),
    *parts.split_phase_motor("motor", "motor_hot", "neutral", commands=COMMANDS, running=("run", "burn")),
)  # fmt: skip
DRIVE = Circuit(
    "drive", "earth", _DRIVE,
    parts.fitting(_DRIVE, together(
        parts.leg_changes(), parts.board_changes(), MOTOR, parts.undriven((*UNFED, "drive_relay_open"), "drive_relay"),
        {"door_switch_open": (Open("door_switch"),)},
    )),
    parts.FREQUENCY,
)  # fmt: skip
_IGNITER = parts.glowing(invented(2.4), invented(3.0), invented(0.5))
_BURNER = (
    *legs("cord_two", "block_two"),
    parts.relay("burner_relay", "leg_one", "burner_feed", ("run", "burn")),
    parts.igniter("igniter", "burner_feed", "sensed", _IGNITER),
    *parts.two_coil_valve("valve", "burner_feed", "sensed", "neutral"),
    parts.thermostat("flame_sensor", "sensed", "neutral", COMMANDS, ("burn",)),
)
BURNER = Circuit(
    "burner", "earth", _BURNER,
    parts.fitting(_BURNER, together(
        parts.leg_changes(), parts.undriven((*UNFED, "burner_relay_open"), "burner_relay"),
        parts.igniter_changes("igniter"), parts.two_coil_changes("valve"), parts.thermostat_changes("flame_sensor"),
    )),
    parts.FREQUENCY,
)  # fmt: skip
#: Coils of the valve, and the nodes of each.
COILS = {
    "holding": ("burner_feed", "neutral"), "booster": ("burner_feed", "sensed"), "secondary": ("sensed", "neutral"),
}  # fmt: skip
CIRCUITS = (
    parts.legs_circuit(), HEATING, DRIVE, BURNER,
    parts.thermistor_circuit("outlet_sensor", "ntc", *parts.ntc(invented(10e3), invented(3950.0)), NTC),
    parts.sensor_circuit("cavity_sensor", "platinum", PLATINUM),
)  # fmt: skip


def _of_circuits() -> list[str]:
    known = {fault for circuit in CIRCUITS for fault in circuit.changes} | {"board_dead"}
    return sorted(known - set(parts.LEG_FAULTS))


#: Faults of the cabinet's own parts: rare ones, each of a part that bears its name up to the last word or two.
_OWN = _of_circuits()
_PART_OF = {
    "heat_relay": "board", "drive_relay": "board", "burner_relay": "board", "board": "board", "motor": "motor",
    "cutoff": "cutoff", "limit": "limit", "heater": "heater", "igniter": "igniter", "valve": "valve",
    "flame_sensor": "flame_sensor", "ntc": "ntc", "platinum": "platinum", "door_switch": "door_switch", "drum": "drum",
}  # fmt: skip


def part_of(fault: str) -> str:
    """The part that a fault belongs to."""
    return next(part for name, part in _PART_OF.items() if fault.startswith(name))


def _when(fault: str) -> dict[str, str]:
    return {"ntc": NTC, "platinum": PLATINUM}.get(part_of(fault), {})


def _title(id_: str) -> str:
    return id_.replace("_", " ").capitalize()


FAULTS = (
    *parts.leg_faults(),
    *(Fault(id_, _title(id_), invented(0.004), part_of(id_), when=_when(id_)) for id_ in _OWN),
)
PARTS = (*parts.leg_parts(), *(ReplaceablePart(part, _title(part), invented(40.0)) for part in sorted(
    set(_PART_OF.values()))))  # fmt: skip


def _cures(part: str) -> dict[str, Figure]:
    return {fault: invented(0.97) for fault in _OWN if part_of(fault) == part}


def _repair(part: str) -> Repair:
    when = {"ntc": NTC, "platinum": PLATINUM}.get(part, {})
    return Repair(f"replace_{part}", f"Replace: {_title(part)}", _cures(part), invented(15.0), ISOLATED, ("rear",),
                  part, steps=("Fit one of the same rating.",), closing_checks=("heats",), when=when)  # fmt: skip


REPAIRS = (
    *parts.leg_repairs(ISOLATED, "outside", "rear", ("heats",)),
    *(_repair(part.id) for part in PARTS if part.id != "terminal_block"),
)


def _ohms(id_: str, circuit: str, nodes: tuple[str, str], apart: tuple[str, ...], when: dict[str, str]) -> Test:
    return Test(id_, _title(id_), "resistance", (ISOLATED,), "rear", invented(4.0), (Between(circuit, *nodes, apart),),
                unit="ohm", instrument="multimeter", when=when, needs=("ambient",) if when else ())  # fmt: skip


def _amperes(id_: str, circuit: str, part: str, command: str) -> Test:
    return Test(id_, _title(id_), "current", (LIVE,), "rear", invented(4.0), (Through(circuit, part),), unit="A",
                command=command, instrument="clamp_meter", cautions=(LIVE_PARTS,))  # fmt: skip


def _volts(id_: str, circuit: str, nodes: tuple[str, str], command: str) -> Test:
    return Test(id_, _title(id_), "voltage", (LIVE,), "rear", invented(4.0), (Between(circuit, *nodes),), unit="V",
                command=command, instrument="multimeter", cautions=(LIVE_PARTS,))  # fmt: skip


def _but(coil: str) -> tuple[str, ...]:
    """What is taken off, so that one coil alone is read."""
    return ("igniter", "flame_sensor", *(f"valve_{other}_coil" for other in COILS if other != coil))


TESTS = (
    *parts.leg_tests(LIVE, "rear", circuit="heating", command="run"),
    _amperes("heater_current", "heating", "heater", "run"),
    _amperes("heater_current_standing", "heating", "heater", "start"),
    _volts("volts_across_relay", "heating", ("leg_one", "heat_out"), "run"),
    _volts("volts_across_heater", "heating", ("heater_feed", "heater_end"), "run"),
    _ohms("heater_resistance", "heating", ("heater_feed", "heater_end"), ("limit",), {}),
    _ohms("cutoff_resistance", "heating", ("heat_out", "limited"), ("limit",), {}),
    _amperes("motor_current", "drive", "motor_protector", "run"),
    _ohms("motor_resistance", "drive", ("motor_hot", "neutral"), ("drive_relay", "neutral_conductor"), {}),
    _volts("motor_feed_voltage", "drive", ("motor_hot", "neutral"), "run"),
    _volts("board_voltage", "drive", ("board_hot", "neutral"), "off"),
    _amperes("igniter_current", "burner", "igniter", "run"),
    _volts("burner_feed_voltage", "burner", ("burner_feed", "neutral"), "run"),
    _volts("secondary_coil_voltage", "burner", ("sensed", "neutral"), "burn"),
    _ohms("ntc_resistance", "outlet_sensor", ("board_plug_a", "board_plug_b"), (), NTC),
    _ohms("platinum_resistance", "cavity_sensor", ("board_plug_a", "board_plug_b"), (), PLATINUM),
    _ohms("limit_resistance", "heating", ("limited", "heater_feed"), ("cutoff",), {}),
    _ohms("start_winding_resistance", "drive", ("motor_start_feed", "neutral"), ("motor_start_contact",), {}),
    _ohms("door_switch_resistance", "drive", ("leg_one", "door_out"), ("drive_relay",), {}),
    _ohms("relay_resistance", "heating", ("leg_one", "heat_out"), ("cutoff",), {}),
    _amperes("heater_current_hot", "heating", "heater", "burn"),
    *(_ohms(f"{coil}_coil_resistance", "burner", nodes, _but(coil), {}) for coil, nodes in COILS.items()),
    _amperes("igniter_current_burning", "burner", "igniter", "burn"),
    _ohms("motor_to_chassis", "drive", ("motor_hot", "chassis"), ("drive_relay", "neutral_conductor"), {}),
    _ohms("ntc_itself", "outlet_sensor", ("sensor_plug_a", "sensor_plug_b"), ("ntc_wire_a", "ntc_wire_b"), NTC),
    _ohms("platinum_itself", "cavity_sensor", ("sensor_plug_a", "sensor_plug_b"),
          ("platinum_wire_a", "platinum_wire_b"), PLATINUM),
    _ohms("ntc_to_chassis", "outlet_sensor", ("sensor_plug_a", "chassis"), (), NTC),
    _ohms("platinum_to_chassis", "cavity_sensor", ("sensor_plug_a", "chassis"), (), PLATINUM),
    Test("drum_by_hand", "Drum turned by hand", "seen", (ISOLATED,), "outside", invented(1.0),
         (Table({"turns": invented(0.99), "stuck": invented(0.01)},
                {"drum_jammed": {"turns": invented(0.03), "stuck": invented(0.97)}}),),
         outcomes=("turns", "stuck")),
    parts.wiring_condition(ISOLATED, "rear", {}),
)  # fmt: skip

HEATS = Requirement("heating", "heater", "current", "run", LIVE, between(9.0, 10.0))
STAYS_COLD = Requirement("heating", "heater", "current", "start", LIVE, at_most=between(0.5, 1.0))
TURNS = Requirement("drive", "motor_turning", "voltage", "run", LIVE, between(50.0, 70.0))
GAS_FLOWS = Requirement("burner", "valve_secondary_coil", "current", "burn", LIVE, between(0.04, 0.05))
FUNCTIONS = (
    Function("heats", "It heats", (HEATS,), {}, invented(0.001)),
    Function("turns", "The drum turns", (TURNS,), {"drum_jammed": invented(0.98)}, invented(0.001)),
    Function("cold_while_standing", "Nothing heats while the drum stands", (STAYS_COLD,), {}, invented(0.0005)),
    Function("burns", "The burner stays lit", (GAS_FLOWS,), {"igniter_open": invented(0.97)}, invented(0.001)),
)
COMPLAINTS = (
    *(Complaint(f"not_{f.id}", f"Not so: {f.title.lower()}", invented(0.002), f.id, invented(0.9)) for f in FUNCTIONS),
    Complaint("off_temperature", "Too hot, or not hot enough", invented(0.002), shown_by={
        fault: invented(0.6) for fault in _OWN if part_of(fault) in ("ntc", "platinum", "limit")}),
)  # fmt: skip

FAMILY = Family(
    id="drying_cabinet", title="Drying cabinet", version="1.0.0", supply=parts.TWO_LEGS, ambient=between(15.0, 30.0),
    options=OPTIONS, states=STATES, zones=ZONES, circuits=CIRCUITS, functions=FUNCTIONS, complaints=COMPLAINTS,
    tests=TESTS, faults=FAULTS, parts=PARTS, repairs=REPAIRS,
    interlocks=(*parts.leg_interlocks(), parts.wiring_interlock()),
    closings=(*parts.leg_closings(), Closing("heats", "It heats.", "heater_current")),
    costs=DefaultCosts(invented(90.0), invented(150.0), invented(5.0), invented(100.0)),
    unknown_rate=invented(0.005), cautions=(HOT_PARTS,), notice="Invented.", demo=True,
)  # fmt: skip
PACK = SimpleNamespace(CONTRACT=CONTRACT_VERSION, probewright_family=hookimpl(lambda: FAMILY))
