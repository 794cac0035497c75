"""What a case may get wrong: every place is named at once, by a JSON pointer (RFC 6901)."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.engine import check_readings, diagnose, score_readings
from probewright.errors import InvalidCase
from probewright.settings import Settings
from probewright_schemas.records import (
    Case,
    CaseCosts,
    Conditions,
    Limits,
    Meter,
    Quantity,
    Reading,
    RepairDone,
    Visit,
)  # fmt: skip
from support.families import pack_of, warmer

AMPERES = {"value": 3.0, "unit": "A"}


def refused(case, pack, ask=diagnose):
    with pytest.raises(InvalidCase) as found:
        ask(case, pack, Settings())
    return found.value.faults


def at(faults):
    return [(fault.pointer, fault.code) for fault in faults]


def current(**fields):
    return Reading("bake_igniter_current", **(AMPERES | fields))


UNKNOWN_IDS = {
    "option": ({"options": {"fule": "propane"}}, "/options/fule", "unknown_option"),
    "option value": ({"options": {"fuel": "propan"}}, "/options/fuel", "unknown_option_value"),
    "complaint": ({"complaints": ("bake_does_not_lite",)}, "/complaints/0", "unknown_complaint"),
    "function": ({"working": ("display_on", "dispay_on")}, "/working/1", "unknown_function"),
    "test": ({"readings": (Reading("bake_igniter_curent", **AMPERES),)}, "/readings/0/test", "unknown_test"),
    "state": ({"readings": (current(state="isolatd"),)}, "/readings/0/state", "unknown_state"),
    "meter": ({"readings": (current(meter="clamp"),)}, "/readings/0/meter", "unknown_meter"),
    "outcome": ({"readings": (Reading("bake_igniter_glow", seen="wite"),)}, "/readings/0/seen", "unknown_outcome"),
    "repair": (
        {"repairs_done": (RepairDone("clean_burner_port", complaint_remains=True),)},
        "/repairs_done/0/repair", "unknown_repair",
    ),
    "test of a sheet": ({"tech_sheet": {"bake_current": Limits("A", 3.2)}}, "/tech_sheet/bake_current", "unknown_test"),
    "part": ({"costs": CaseCosts(parts={"bake_ignitor": 48.0})}, "/costs/parts/bake_ignitor", "unknown_part"),
    "part at hand": ({"visit": Visit(parts_on_hand=("bake_ignitor",))}, "/visit/parts_on_hand/0", "unknown_part"),
    "tool": ({"visit": Visit(tools=("multimeter", "clamp_metre"))}, "/visit/tools/1", "unknown_tool"),
    "skill": ({"visit": Visit(skills=("gas_license",))}, "/visit/skills/0", "unknown_skill"),
    "repair before a reading": (
        {"readings": (current(after_repair="replace_bake_ignitor"),)}, "/readings/0/after_repair", "unknown_repair",
    ),
    "kind of meter": ({"meters": {"it": Meter("multimetre")}}, "/meters/it/kind", "bad_meter"),
}  # fmt: skip


@pytest.mark.parametrize("name", UNKNOWN_IDS)
@pytest.mark.parametrize("ask", [diagnose, check_readings, score_readings])
def test_unknown_id(name, ask, gas_range):
    fields, pointer, code = UNKNOWN_IDS[name]
    faults = refused(Case("gas_range", **fields), gas_range, ask)
    assert at(faults)[0] == (pointer, code)


@pytest.mark.parametrize(
    ("name", "hint"),
    [("option", "fuel"), ("option value", "propane"), ("complaint", "bake_does_not_light"), ("function", "display_on"),
     ("test", "bake_igniter_current"), ("state", "isolated"), ("outcome", "white"), ("repair", "clean_burner_ports"),
     ("part", "bake_igniter"), ("part at hand", "bake_igniter"), ("tool", "clamp_meter"), ("skill", "gas_licence"),
     ("repair before a reading", "replace_bake_igniter"), ("kind of meter", "multimeter")],
)  # fmt: skip
def test_nearest_known_is_named(name, hint, gas_range):
    fields, _, _ = UNKNOWN_IDS[name]
    message = refused(Case("gas_range", **fields), gas_range)[0].message
    assert re.search(rf"\b{hint}\b", message), message


def test_every_place_is_named_at_once(gas_range):
    everything = {}
    for fields, _, _ in UNKNOWN_IDS.values():
        for key, value in fields.items():
            if isinstance(value, tuple):
                everything[key] = (*everything.get(key, ()), *value)
            elif isinstance(value, dict):
                everything[key] = {**everything.get(key, {}), **value}
            else:
                everything[key] = value
    pointers = [fault.pointer for fault in refused(Case("gas_range", **everything), gas_range)]
    wanted = {"/options/fule", "/options/fuel", "/complaints/0", "/working/1", "/readings/0/test", "/readings/1/state",
              "/readings/2/meter", "/readings/3/seen", "/repairs_done/0/repair", "/tech_sheet/bake_current",
              "/costs/parts/bake_ignitor", "/meters/it/kind"}  # fmt: skip
    assert wanted <= set(pointers)


WRONG_READINGS = {
    "wrong dimension": (current(unit="V"), "/readings/0/unit", "bad_unit"),
    "unknown unit": (current(unit="furlong"), "/readings/0/unit", "bad_unit"),
    "an expression": (current(unit="9**9**9"), "/readings/0/unit", "bad_unit"),
    "no unit": (Reading("bake_igniter_current", 3.0), "/readings/0", "no_result"),
    "no value": (Reading("bake_igniter_current", unit="A"), "/readings/0", "no_result"),
    "no values": (Reading("bake_igniter_current", values=(), unit="A"), "/readings/0", "no_result"),
    "seen, but measured": (Reading("bake_igniter_current", seen="white"), "/readings/0/seen", "not_seen"),
    "measured, but seen": (Reading("bake_igniter_glow", **AMPERES), "/readings/0", "not_measured"),
    "a meter that cannot": (current(meter="it"), "/readings/0/meter", "bad_meter"),
    "a condition's unit": (
        current(conditions=Conditions(supply_voltage=Quantity(120.0, "A"))), "/readings/0/conditions/supply_voltage",
        "bad_unit",
    ),
    "not a number": (current(value=float("nan")), "/readings/0/value", "bad_number"),
    "one of them not a number": (
        Reading("bake_igniter_current", values=(3.0, float("inf")), unit="A"), "/readings/0/values/1", "bad_number",
    ),
    "below absolute zero": (Reading("oven_temperature", -500.0, unit="degF"), "/readings/0/value", "bad_number"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG_READINGS)
def test_wrong_reading(name, gas_range):
    reading, pointer, code = WRONG_READINGS[name]
    case = Case("gas_range", readings=(reading,), meters={"it": Meter("manometer")})
    assert at(refused(case, gas_range)) == [(pointer, code)]


def test_unit_errors_list_what_would_do(gas_range):
    (fault,) = refused(Case("gas_range", readings=(current(unit="V"),)), gas_range)
    assert "unit of voltage, not of current" in fault.message
    assert "mA" in fault.message


@pytest.mark.parametrize(
    ("conditions", "pointer"),
    [(Conditions(ambient=Quantity(20.0, "V")), "/conditions/ambient"),
     (Conditions(supply_voltage=Quantity(120.0, "degC")), "/conditions/supply_voltage"),
     (Conditions(set_point=Quantity(350.0, "furlong")), "/conditions/set_point"),
     (Conditions(supply_voltage=Quantity(-120.0, "V")), "/conditions/supply_voltage"),
     (Conditions(supply_voltage=Quantity(float("nan"), "V")), "/conditions/supply_voltage")],
)  # fmt: skip
def test_wrong_conditions(conditions, pointer, gas_range):
    assert [f.pointer for f in refused(Case("gas_range", conditions=conditions), gas_range)] == [pointer]


@pytest.mark.parametrize(
    "meter",
    [Meter("multimeter", percent_of_reading=-1.0), Meter("multimeter", counts=-1.0),
     Meter("multimeter", resolution=Quantity(0.1, "A")), Meter("multimeter", lead_resistance=Quantity(0.3, "V")),
     Meter("multimeter", maximum_resistance=Quantity(0.0, "ohm"))],
)  # fmt: skip
def test_wrong_meters(meter, gas_range):
    reading = Reading("bake_igniter_resistance", 100.0, unit="ohm", meter="it")
    case = Case("gas_range", readings=(reading,), meters={"it": meter})
    if meter.resolution is not None:  # of another function of the same meter: passed over
        assert diagnose(case, gas_range, Settings()).readings[0].verdict == "within"
        return
    faults = refused(case, gas_range)
    assert len(faults) == 1
    assert faults[0].pointer.startswith("/meters/it/") or faults[0].pointer == "/readings/0/meter"
    assert faults[0].code == "bad_meter"


def test_options_that_contradict_each_other(gas_range):
    case = Case("gas_range", options={"oven_ignition": "spark", "igniter_style": "flat"})
    assert at(refused(case, gas_range)) == [("/options", "options_contradict")]


def test_names_are_escaped(gas_range):
    case = Case("gas_range", options={"a/b~c": "x"}, tech_sheet={"d/e": Limits("A", 1.0)})
    assert [f.pointer for f in refused(case, gas_range)] == ["/options/a~1b~0c", "/tech_sheet/d~1e"]


def test_a_good_case_is_not_refused(gas_range):
    room = Conditions(ambient=Quantity(70.0, "degF"))
    case = Case("gas_range", options={"fuel": "propane"}, readings=(current(),), conditions=room)
    assert diagnose(case, gas_range, Settings()).readings[0].test == "bake_igniter_current"


def test_family_of_the_pack_is_used_not_the_name_in_the_case():
    case = replace(Case("anything", readings=(Reading("heater_current", 4.0, unit="A"),)), options={"lamp": "yes"})
    assert diagnose(case, pack_of(warmer()), Settings()).pack.family == "warmer"


def test_a_reading_is_taken_after_a_repair_that_was_done(gas_range):
    done = (RepairDone("clean_burner_ports", complaint_remains=True),)
    late = current(after_repair="replace_bake_igniter")
    [fault] = refused(Case("gas_range", readings=(current(), late), repairs_done=done), gas_range)
    assert (fault.pointer, fault.code) == ("/readings/1/after_repair", "repair_not_done")
    assert fault.message == "repair 'replace_bake_igniter' is not among 'repairs_done'; it has clean_burner_ports"
    [fault] = refused(Case("gas_range", readings=(late,)), gas_range)
    assert fault.message.endswith("it is empty")


def test_what_the_family_names_may_be_brought(gas_range):
    visit = Visit(("multimeter", "gas_analyzer"), ("gas_licence",), ("bake_igniter",))
    assert diagnose(Case("gas_range", visit=visit, effort="none"), gas_range, Settings()).faults
