"""The pack's own findings, each with the reading that draws it and one that does not."""

from __future__ import annotations

import pytest

from probewright.engine import check_readings
from probewright.settings import Settings
from probewright_packs.clothes_dryer import validators
from probewright_schemas.records import Case, Conditions, Meter, Quantity, Reading

AT_20 = Conditions(ambient=Quantity(20.0, "degC"))
ELECTRIC = {"heat": "electric", "control": "electronic"}
GAS = {"heat": "gas", "fuel": "natural_gas", "control": "timer"}
METERS = {"low": Meter("multimeter", input="low_impedance"),
          "drained": Meter("multimeter", input_impedance=Quantity(3.0, "kohm"))}  # fmt: skip


def reading(test: str, value: float | None = None, unit: str | None = None, **more) -> Reading:
    return Reading(test, value=value, unit=unit, **more)


CASES = [
    ("cold_is_no_proof", GAS, reading("valve_secondary_resistance", 1350.0, "ohm"),
     Reading("valve_secondary_resistance", over_range=True)),
    ("silent_about_the_case", ELECTRIC, reading("element_resistance", 11.0, "ohm"),
     reading("element_resistance", 16.0, "ohm")),
    ("closed_cold_may_not_open", GAS, reading("flame_sensor_continuity", seen="closed"),
     reading("flame_sensor_continuity", seen="open")),
    ("ghost_voltage", ELECTRIC, reading("motor_voltage", 45.0, "V"), reading("motor_voltage", 45.0, "V", meter="low")),
    ("ghost_voltage", ELECTRIC, reading("motor_voltage", 45.0, "V"),
     reading("motor_voltage", 45.0, "V", meter="drained")),
    ("supply_not_measured", ELECTRIC, reading("element_current", 11.0, "A"), reading("element_current", 22.0, "A")),
    ("thermistor_as_thermometer", ELECTRIC, reading("outlet_sensor_resistance", 7600.0, "ohm"),
     reading("outlet_sensor_resistance", 12500.0, "ohm", conditions=AT_20)),
    ("screen_out_or_door_open", ELECTRIC, reading("vent_back_pressure", 0.04, "inH2O"),
     reading("vent_back_pressure", 0.3, "inH2O")),
    ("read_while_it_stood", ELECTRIC, reading("motor_current", 35.0, "A"), reading("motor_current", 5.0, "A")),
    ("vent_before_cutoff", ELECTRIC, reading("cutoff_continuity", seen="open"),
     reading("cutoff_continuity", seen="closed")),
    ("vent_before_cutoff", ELECTRIC, reading("cutoff_voltage", 239.0, "V"), reading("cutoff_voltage", 0.3, "V")),
    ("heat_first", ELECTRIC, reading("outlet_temperature", 40.0, "degC"),
     Reading("outlet_temperature", values=(40.0, 63.0, 41.0, 62.0), unit="degC")),
    ("burner_went_out", GAS, reading("meter_clocking", 600.0, "s"), reading("meter_clocking", 85.0, "s")),
]  # fmt: skip


def checked(pack, options: dict[str, str], given: Reading):
    case = Case("clothes_dryer", options=options, meters=METERS, readings=(given,))
    (found,) = check_readings(case, pack, Settings()).readings
    return found


def codes(pack, options: dict[str, str], given: Reading) -> set[str]:
    return {finding.code for finding in checked(pack, options, given).findings}


@pytest.mark.parametrize(("code", "options", "draws", "spares"), CASES, ids=[f"{c[0]}-{c[2].test}" for c in CASES])
def test_finding(pack, code, options, draws, spares):
    assert code in codes(pack, options, draws)
    assert code not in codes(pack, options, spares)


def test_findings_of_the_pack_never_take_a_reading_out(pack):
    for _, options, draws, _ in CASES:
        assert checked(pack, options, draws).verdict != "rejected"


def test_every_code_is_documented():
    documented = validators.__doc__ or ""
    assert all(f"``{code}``" in documented for code, *_ in CASES)
    assert documented.count("``") == 2 * len({code for code, *_ in CASES})


@pytest.mark.parametrize(("ohms", "degrees"), [(33620.6, 0), (10000.0, 25), (3588.2, 50), (1086.7, 85)])
def test_a_thermistor_told_as_a_temperature_by_beta(pack, ohms, degrees):
    """10 k at 25 degC, B 3950, by the Beta equation."""
    found = checked(pack, ELECTRIC, reading("outlet_sensor_resistance", ohms, "ohm")).findings
    (told,) = (finding for finding in found if finding.code == "thermistor_as_thermometer")
    assert f"{degrees} degC" in told.message


def test_a_supply_that_was_measured_is_not_asked_for(pack):
    case = Case("clothes_dryer", options=ELECTRIC, readings=(
        reading("element_current", 11.0, "A"), reading("legs_voltage", 240.0, "V")))  # fmt: skip
    current = check_readings(case, pack, Settings()).readings[0]
    assert "supply_not_measured" not in {finding.code for finding in current.findings}
