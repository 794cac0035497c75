"""A family of a third party, built of the contract and the common parts alone, loads and diagnoses."""

from __future__ import annotations

import ast
import inspect
from typing import Any

import pytest

from probewright.testing import PackConformance, assert_hazard, assert_leads, assert_ruled_out, client
from probewright_packs import common
from support import cabinet

Document = dict[str, Any]
FED = ("legs_voltage", 240.0), ("leg_one_to_neutral", 120.0), ("leg_two_to_neutral", 120.0)


@pytest.fixture(scope="module")
def service():
    return client(cabinet.PACK)


def read(*readings: tuple[str, float | str]) -> list[Document]:
    units = {test.id: test.unit for test in cabinet.TESTS}
    return [
        {"test": test, "seen": value} if isinstance(value, str)
        else {"test": test, "over_range": True} if value == float("inf")
        else {"test": test, "value": value, "unit": units[test]}
        for test, value in readings
    ]  # fmt: skip


def ask(service, *readings: tuple[str, float | str], complaints: tuple[str, ...] = (), **more: object) -> Document:
    case = {"complaints": list(complaints), "readings": read(*readings), **more}
    return service.diagnose(case)


class TestContract(PackConformance):
    pack = cabinet.PACK


def test_it_imports_nothing_but_the_contract_and_the_common_parts() -> None:
    imports = [node for node in ast.walk(ast.parse(inspect.getsource(cabinet))) if isinstance(node, ast.ImportFrom)]
    assert {node.module for node in imports} == {
        "__future__", "types", "probewright.packs", "probewright_packs", "probewright_packs.common",
    }  # fmt: skip


def test_it_takes_only_names_that_the_common_parts_list() -> None:
    tree = ast.parse(inspect.getsource(cabinet))
    taken = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)
             and isinstance(node.value, ast.Name) and node.value.id == "parts"}  # fmt: skip
    taken |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
              and node.module == common.__name__ for alias in node.names}  # fmt: skip
    assert len(taken) > 30
    assert taken <= set(common.__all__)


def test_a_dead_leg_and_not_the_heater(service) -> None:
    answer = ask(service, ("legs_voltage", 104.0), ("leg_one_to_neutral", 120.5), ("leg_two_to_neutral", 15.0),
                 complaints=("not_heats",))  # fmt: skip
    assert_leads(answer, "leg_two_dead", at_least=0.9)
    assert_ruled_out(answer, "heater_open")
    assert_ruled_out(answer, "heat_relay_open")


def test_a_burnt_terminal_behind_a_supply_that_reads_well(service) -> None:
    answer = ask(service, *FED, ("block_voltage_under_load", 150.0), complaints=("not_heats",))
    assert answer["faults"][0]["fault"] in ("block_leg_one_burnt", "block_leg_two_burnt")
    assert sum(f["probability"] for f in answer["faults"] if f["fault"].startswith("block_leg")) > 0.9


def test_an_open_heater_has_the_whole_voltage_and_an_open_relay_too(service) -> None:
    heater = ask(service, *FED, ("volts_across_heater", 239.0), ("heater_current", 0.0), complaints=("not_heats",))
    assert_leads(heater, "heater_open", at_least=0.9)
    relay = ask(service, *FED, ("volts_across_relay", 239.0), ("board_voltage", 120.0), complaints=("not_heats",),
                working=["turns"])  # fmt: skip
    assert_leads(relay, "heat_relay_open", at_least=0.9)


def test_a_blown_cut_off(service) -> None:
    answer = ask(service, *FED, ("cutoff_resistance", float("inf")), complaints=("not_heats",))
    assert_leads(answer, "cutoff_blown", at_least=0.95)


def test_208_v_with_120_v_on_each_leg_are_no_low_supply(service) -> None:
    turned = ask(service, ("legs_voltage", 208.0), ("leg_one_to_neutral", 120.0), ("leg_two_to_neutral", 120.5))
    assert_leads(turned, "supply_208_volts", at_least=0.9)
    low = ask(service, ("legs_voltage", 200.0), ("leg_one_to_neutral", 100.0), ("leg_two_to_neutral", 100.0))
    assert_leads(low, "legs_voltage_low", at_least=0.9)
    # Heating at three quarters follows from it: no second fault is looked for.
    slow = ask(service, ("legs_voltage", 208.0), ("leg_one_to_neutral", 120.0), ("heater_current", 10.9),
               complaints=("not_heats",))  # fmt: skip
    assert_leads(slow, "supply_208_volts", at_least=0.9)


def test_unequal_legs_that_add_up_are_a_hazard(service) -> None:
    answer = ask(service, ("leg_one_to_neutral", 158.0), ("leg_two_to_neutral", 82.0), ("legs_voltage", 240.0))
    assert_hazard(answer, "legs_overvoltage")
    assert_leads(answer, "service_neutral_open", at_least=0.9)


def test_a_motor_that_hums(service) -> None:
    start = ask(service, *FED, ("motor_current", 24.3), ("motor_resistance", 2.4), complaints=("not_turns",))
    assert {fault["fault"] for fault in start["faults"][:2]} == {"motor_start_open", "motor_start_contact_open"}
    jammed = ask(service, *FED, ("motor_current", 38.0), ("drum_by_hand", "stuck"), complaints=("not_turns",))
    assert_leads(jammed, "drum_jammed", at_least=0.9)
    seized = ask(service, *FED, ("motor_current", 38.0), ("drum_by_hand", "turns"), complaints=("not_turns",))
    assert_leads(seized, "motor_bearings_seized", at_least=0.5)


def test_it_heats_while_the_drum_stands(service) -> None:
    answer = ask(service, *FED, ("heater_current_standing", 12.3), complaints=("not_cold_while_standing",))
    assert_leads(answer, "motor_heater_contact_welded", at_least=0.9)


def test_a_valve_coil_that_is_open(service) -> None:
    answer = ask(service, *FED, ("igniter_current", 2.7), ("secondary_coil_voltage", 120.0), complaints=("not_burns",))
    assert_leads(answer, "valve_secondary_open", at_least=0.5)


@pytest.mark.parametrize(("sensor", "test", "sound", "fault"), [
    ("ntc", "ntc_resistance", 12_480.0, "ntc_open"), ("platinum", "platinum_resistance", 1078.0, "platinum_open"),
])  # fmt: skip
def test_sensors_by_build(service, sensor: str, test: str, sound: float, fault: str) -> None:
    room = {"ambient": {"value": 20.0, "unit": "degC"}}
    options = {"sensor": sensor}
    good = ask(service, (test, sound), options=options, conditions=room)
    assert good["readings"][0]["verdict"] == "within"
    bad = ask(service, (test, float("inf")), options=options, conditions=room, complaints=("off_temperature",))
    found = {f["fault"]: f["probability"] for f in bad["faults"]}
    assert found[fault] + found[fault.replace("open", "harness_open")] > 0.9
    other = {"ntc": "platinum_open", "platinum": "ntc_open"}[sensor]
    assert other not in found
