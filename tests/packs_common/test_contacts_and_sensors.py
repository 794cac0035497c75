"""Boards, relays, thermostats, cut-offs and temperature sensors: each fault in the reading that shows it."""

from __future__ import annotations

import math

import pytest

from probewright.packs import (
    IEC_60751,
    Change,
    Circuit,
    Leak,
    Level,
    Open,
    Part,
    Resistance,
    Swap,
    exactly,
    from_memory,
)
from probewright_packs.common import (
    FREQUENCY,
    board,
    board_changes,
    calling_thermostat,
    cutoff,
    cutoff_changes,
    decades,
    fitting,
    line,
    line_changes,
    nothing,
    ntc,
    of_faults,
    only,
    relay,
    relay_changes,
    rests,
    sensor_circuit,
    thermistor_circuit,
    thermostat,
    thermostat_changes,
    together,
    under_all,
    undriven,
)
from support.middle import Bench

COMMANDS = ("off", "dry", "hot")
HEATER = 12.0


def heating() -> Circuit:
    """Relay, cut-off, thermostat and a heater of 1200 W at 120 V, with the board that drives the relay."""
    parts = (
        *line(), *board(),
        relay("relay", "hot", "driven", ("dry", "hot")), cutoff("cutoff", "driven", "limited"),
        thermostat("limit", "limited", "feed", COMMANDS, ("hot",)),
        Part("heater", "feed", "neutral", Resistance(exactly(from_memory(HEATER)))),
    )  # fmt: skip
    changes = together(
        line_changes(heavy=True), board_changes(), relay_changes("relay"), cutoff_changes("cutoff"),
        thermostat_changes("limit"), undriven(("board_wire_open", "control_locked"), "relay"),
    )  # fmt: skip
    return Circuit("heating", "earth", parts, changes, FREQUENCY)


OFF, DRYING, HOT = (Bench(heating(), command) for command in COMMANDS)
HEATS = pytest.approx(120 / (HEATER + 0.22 + 0.055 + 0.03 + 0.055), rel=1e-3)


def test_it_heats_while_the_relay_is_driven_and_the_thermostat_is_cool() -> None:
    assert DRYING.amperes("heater") == HEATS
    assert OFF.amperes("heater") < 1e-6
    assert HOT.amperes("heater") < 1e-6


@pytest.mark.parametrize(("fault", "where"), [
    ("relay_open", ("hot", "driven")), ("cutoff_blown", ("driven", "limited")), ("limit_open", ("limited", "feed")),
])  # fmt: skip
def test_whatever_is_open_has_the_whole_voltage_across_it(fault: str, where: tuple[str, str]) -> None:
    assert DRYING.amperes("heater", fault) < 1e-6
    assert DRYING.volts(*where, fault) == pytest.approx(120.0, abs=0.1)


def test_welded_contacts_heat_when_they_should_not() -> None:
    assert OFF.amperes("heater", "relay_welded") == pytest.approx(120 / (HEATER + 0.3), rel=5e-3)
    assert HOT.amperes("heater", "limit_welded") == pytest.approx(120 / (HEATER + 0.3), rel=0.01)


@pytest.mark.parametrize("fault", ["board_wire_open", "control_locked"])
def test_a_board_that_drives_nothing_leaves_its_contacts_open(fault: str) -> None:
    assert DRYING.amperes("heater", fault) < 1e-6


def test_a_board_without_its_wire_has_no_supply() -> None:
    assert OFF.volts("board_hot", "neutral") == pytest.approx(120.0, abs=0.1)
    assert OFF.volts("board_hot", "neutral", "board_wire_open") < 0.01
    assert OFF.amperes("board") == pytest.approx(120 / (1500.0 * 15000.0) ** 0.5, rel=1e-3)


def test_a_welded_relay_heats_though_nothing_drives_it() -> None:
    at_once = {"both": (*rests("relay"), *relay_changes("relay")["relay_welded"])}
    both = Circuit("both", "earth", heating().parts, at_once, FREQUENCY)
    assert Bench(both, "off").amperes("heater", "both") > 9.0


def test_with_the_supply_off_relays_rest_open_and_thermostats_rest_closed() -> None:
    assert DRYING.ohms("hot", "driven", apart=("cutoff",)) > 1e9
    assert DRYING.ohms("driven", "feed", apart=("relay", "heater")) == pytest.approx(0.085, rel=1e-3)
    assert DRYING.ohms("driven", "limited", "cutoff_blown", apart=("relay", "heater")) > 1e9
    assert DRYING.ohms("limited", "feed", "limit_open", apart=("cutoff", "heater")) > 1e9


def test_a_calling_thermostat_is_closed_only_while_it_is_called() -> None:
    contact = calling_thermostat("oven", "hot", "out", ("bake",))
    assert contact.closed("bake", powered=True)
    assert contact.closed("bake", powered=False)
    assert not contact.closed("off", powered=True)


def test_parts_can_be_restricted_to_builds() -> None:
    when = {"control": "board"}
    made = (
        relay("r", "a", "b", ("dry",), when), thermostat("t", "a", "b", COMMANDS, (), when),
        cutoff("c", "a", "b", when), calling_thermostat("o", "a", "b", ("dry",), when), *board("a", "b", when),
    )  # fmt: skip
    assert all(part.when == when for part in made)
    spreads = ntc(from_memory(10e3), from_memory(3950.0))
    assert thermistor_circuit("outlet", "ntc", *spreads, when).when == when
    assert sensor_circuit("sensor", "platinum", when).when == when


def test_records_are_restricted_beyond_what_restricts_them() -> None:
    both = only({"heat": "gas"}, board("a", "b", {"control": "board"}))
    assert all(part.when == {"control": "board", "heat": "gas"} for part in both)


def test_a_circuit_takes_the_changes_that_fit_its_parts() -> None:
    wire, heater = board("a", "b")
    changes: dict[str, tuple[Change, ...]] = {
        "crossed": (Swap("board_wire", "board"),), "half_crossed": (Swap("board_wire", "cord"),),
        "leaks": (Leak("a", "b", decades(1.0, 2.0)),), "leaks_away": (Leak("a", "chassis", decades(1.0, 2.0)),),
        "dead": (Level("line", nothing()),), "both": (*rests("relay"), Open("board")),
    }  # fmt: skip
    assert fitting((wire, heater), changes) == {
        "crossed": changes["crossed"], "leaks": changes["leaks"], "both": (Open("board"),),
    }  # fmt: skip
    assert of_faults(("dead", "unknown"), changes) == {"dead": changes["dead"]}


def test_changes_of_one_fault_are_put_together_once() -> None:
    one = under_all(("dead", "locked"), rests("bake"))
    both = together(one, under_all(("dead",), rests("bake", "broil")))
    assert both == {"dead": rests("bake", "broil"), "locked": rests("bake")}


# Sensors: ohms at the board's plug, through two wires of 0.175 ohm in the middle.
WIRES = 0.35
PLATINUM = sensor_circuit("sensor", "platinum", {})
NTC = thermistor_circuit("outlet", "ntc", *ntc(from_memory(10e3), from_memory(3950.0)))


def by_beta(celsius: float) -> float:
    return 10e3 * math.exp(3950.0 * (1 / (celsius + 273.15) - 1 / 298.15))


@pytest.mark.parametrize("celsius", [0.0, 25.0, 60.0])
def test_a_thermistor_follows_the_beta_equation(celsius: float) -> None:
    found = Bench(NTC, celsius=celsius).ohms("board_plug_a", "board_plug_b")
    assert found == pytest.approx(by_beta(celsius) + WIRES, rel=1e-4)


def test_a_platinum_sensor_follows_its_curve() -> None:
    found = Bench(PLATINUM, celsius=100.0, sensor_curve=IEC_60751.id).ohms("board_plug_a", "board_plug_b")
    assert found == pytest.approx(1385.055 + WIRES, rel=1e-4)


@pytest.mark.parametrize(("circuit", "name", "sound"), [(PLATINUM, "platinum", 1097.3466), (NTC, "ntc", 10e3)])
def test_faults_of_a_sensor_in_the_readings_that_show_them(circuit: Circuit, name: str, sound: float) -> None:
    bench = Bench(circuit, celsius=25.0, sensor_curve=IEC_60751.id)

    def at_board(*faults: str) -> float:
        return bench.ohms("board_plug_a", "board_plug_b", *faults)

    def at_sensor(*faults: str) -> float:
        return bench.ohms("sensor_plug_a", "sensor_plug_b", *faults, apart=(f"{name}_wire_a", f"{name}_wire_b"))

    assert at_board() == pytest.approx(sound + WIRES, rel=1e-4)
    assert at_sensor(f"{name}_harness_open") == pytest.approx(sound, rel=1e-4)
    for fault in ("open", "harness_open"):
        assert at_board(f"{name}_{fault}") > 1e9
    assert at_sensor(f"{name}_open") > 1e9
    shorted = (0.1 * 20.0) ** 0.5
    assert at_board(f"{name}_shorted") == pytest.approx(1 / (1 / sound + 1 / shorted) + WIRES, rel=1e-3)
    assert at_board(f"{name}_drifted") == pytest.approx(1.05 * sound + WIRES, rel=1e-3)
    assert bench.ohms("sensor_plug_a", "chassis") > 1e8
    leak = (100.0 * 5e5) ** 0.5
    assert bench.ohms("sensor_plug_a", "chassis", f"{name}_leaks_to_chassis") == pytest.approx(leak, rel=1e-3)


def test_a_thermistors_tolerance_is_a_share_of_its_ohms() -> None:
    spread, beta = ntc(from_memory(10e3), from_memory(3950.0))
    assert float(spread.second) == pytest.approx(250.0)
    assert beta.median == 3950.0
