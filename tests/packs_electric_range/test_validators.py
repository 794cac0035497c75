"""The pack's own findings, each with the reading that draws it and one that does not."""

from __future__ import annotations

import pytest

from probewright.engine import check_readings
from probewright.settings import Settings
from probewright_packs.common import findings
from probewright_packs.electric_range import validators
from probewright_schemas.records import Case, Conditions, Meter, Quantity, Reading

AT_70 = Conditions(ambient=Quantity(70.0, "degF"))
AT_350 = Conditions(set_point=Quantity(350.0, "degF"))
COIL = {"cooktop": "coil", "bake_element": "visible", "sensor_curve": "iec_60751"}
METERS = {"low": Meter("multimeter", input="low_impedance")}


def reading(test: str, value: float | None = None, unit: str | None = None, **more) -> Reading:
    return Reading(test, value=value, unit=unit, **more)


CASES = [
    ("glows_is_no_proof", reading("bake_glow", seen="glows"), reading("bake_glow", seen="cold")),
    ("whole_is_no_proof", reading("broil_element_condition", seen="whole"),
     reading("broil_element_condition", seen="blistered_or_broken")),
    ("half_the_voltage", reading("bake_element_voltage", 119.0, "V"), reading("bake_element_voltage", 238.0, "V")),
    ("half_the_voltage", reading("surface_switch_voltage", 121.0, "V"), reading("surface_switch_voltage", 0.0, "V")),
    ("may_be_fed_back", reading("leg_two_to_chassis_under_load", 119.0, "V"),
     reading("leg_two_to_chassis_under_load", 80.0, "V")),
    ("ghost_voltage", reading("bake_element_voltage", 40.0, "V"),
     reading("bake_element_voltage", 40.0, "V", meter="low")),
    ("silent_about_the_case", reading("bake_element_resistance", 22.2, "ohm"),
     reading("bake_element_resistance", 60.0, "ohm")),
    ("silent_about_the_case", reading("coil_resistance", 30.0, "ohm"), reading("coil_resistance", 300.0, "ohm")),
    ("too_few_ohms", reading("bake_element_resistance", 12.0, "ohm"),
     reading("bake_element_resistance", 22.2, "ohm")),
    ("too_few_ohms", reading("coil_resistance", 11.0, "ohm"), reading("coil_resistance", 300.0, "ohm")),
    ("supply_not_measured", reading("bake_element_current", 7.0, "A"), reading("bake_element_current", 10.8, "A")),
    ("supply_not_measured", reading("broil_element_current", 9.0, "A"),
     reading("broil_element_current", 9.0, "A", conditions=Conditions(supply_voltage=Quantity(236.0, "V")))),
    ("sensor_as_thermometer", reading("oven_sensor_resistance", 1150.0, "ohm"),
     reading("oven_sensor_resistance", 1081.0, "ohm", conditions=AT_70)),
    ("plug_left_in", reading("oven_sensor_resistance_at_board", 950.0, "ohm", conditions=AT_70),
     reading("oven_sensor_resistance_at_board", 1150.0, "ohm", conditions=AT_70)),
    ("average_over_cycles", reading("oven_temperature", 352.0, "degF", conditions=AT_350),
     Reading("oven_temperature", values=(340.0, 360.0, 352.0), unit="degF", conditions=AT_350)),
    ("no_drop_at_all", reading("legs_neutral_to_ground", 0.0, "V"), reading("legs_neutral_to_ground", 0.3, "V")),
]  # fmt: skip


def report(pack, *given: Reading):
    return check_readings(Case("electric_range", options=COIL, readings=given, meters=METERS), pack, Settings())


def codes(pack, given: Reading) -> set[str]:
    (checked,) = report(pack, given).readings
    return {finding.code for finding in checked.findings}


@pytest.mark.parametrize(("code", "draws", "spares"), CASES, ids=[f"{c[0]}-{c[1].test}" for c in CASES])
def test_finding(pack, code, draws, spares):
    assert code in codes(pack, draws)
    assert code not in codes(pack, spares)


def test_a_leg_is_not_suspected_of_being_fed_back_once_the_two_were_read_against_each_other(pack):
    leg = reading("leg_two_to_chassis_under_load", 119.0, "V")
    for between in ("legs_voltage", "block_voltage_under_load"):
        _, checked = report(pack, reading(between, 239.0, "V"), leg).readings
        assert checked.verdict == "within"
        assert "may_be_fed_back" not in {finding.code for finding in checked.findings}


def test_findings_of_the_pack_never_take_a_reading_out(pack):
    for _, draws, _ in CASES:
        assert report(pack, draws).readings[0].verdict != "rejected"


def test_every_code_is_documented():
    documented = (validators.__doc__ or "") + (findings.__doc__ or "")
    assert all(f"``{code}``" in documented for code, _, _ in CASES)
