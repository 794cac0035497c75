"""The pack's own findings, each with the reading that draws it and one that does not."""

from __future__ import annotations

import pytest

from probewright.engine import check_readings
from probewright.settings import Settings
from probewright_packs.gas_range import validators
from probewright_schemas.records import Case, Conditions, Quantity, Reading

AT_70 = Conditions(ambient=Quantity(70.0, "degF"))
AT_350 = Conditions(set_point=Quantity(350.0, "degF"))
COMMON = {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat"}


def reading(test: str, value: float | None = None, unit: str | None = None, **more) -> Reading:
    return Reading(test, value=value, unit=unit, **more)


CASES = [
    ("continuity_is_no_proof", reading("bake_igniter_continuity", seen="closed"),
     reading("bake_igniter_continuity", seen="open")),
    ("silence_is_no_proof", reading("broil_igniter_continuity", seen="open"),
     reading("broil_igniter_continuity", seen="closed")),
    ("supply_not_measured", reading("bake_igniter_current", 2.6, "A"), reading("bake_igniter_current", 3.4, "A")),
    ("heat_before_reading", reading("bake_igniter_current", 0.9, "A"), reading("bake_igniter_current", 2.6, "A")),
    ("sensor_as_thermometer", reading("oven_sensor_resistance", 1150.0, "ohm"),
     reading("oven_sensor_resistance", 1081.0, "ohm", conditions=AT_70)),
    ("plug_left_in", reading("oven_sensor_resistance", 950.0, "ohm", conditions=AT_70),
     reading("oven_sensor_resistance", 1150.0, "ohm", conditions=AT_70)),
    ("average_over_cycles", reading("oven_temperature", 352.0, "degF", conditions=AT_350),
     Reading("oven_temperature", values=(340.0, 360.0, 352.0), unit="degF", conditions=AT_350)),
    ("pressure_of_other_fuel", reading("manifold_pressure", 10.2, "inH2O"), reading("manifold_pressure", 5.0, "inH2O")),
    ("no_drop_at_all", reading("outlet_neutral_to_ground", 0.0, "V"), reading("outlet_neutral_to_ground", 0.3, "V")),
    ("under_type_test_limit", reading("carbon_monoxide_air_free", 300.0, "ppm"),
     reading("carbon_monoxide_air_free", 900.0, "ppm")),
]  # fmt: skip


def codes(pack, given: Reading) -> set[str]:
    report = check_readings(Case("gas_range", options=COMMON, readings=(given,)), pack, Settings())
    (checked,) = report.readings
    return {finding.code for finding in checked.findings}


@pytest.mark.parametrize(("code", "draws", "spares"), CASES, ids=[case[0] for case in CASES])
def test_finding(pack, code, draws, spares):
    assert code in codes(pack, draws)
    assert code not in codes(pack, spares)


def test_findings_of_the_pack_never_take_a_reading_out(pack):
    for _, draws, _ in CASES:
        report = check_readings(Case("gas_range", options=COMMON, readings=(draws,)), pack, Settings())
        assert report.readings[0].verdict != "rejected"


def test_every_code_is_documented():
    documented = validators.__doc__ or ""
    assert all(f"``{code}``" in documented for code, _, _ in CASES)
