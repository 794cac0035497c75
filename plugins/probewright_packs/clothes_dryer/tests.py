"""All tests of the family."""

from __future__ import annotations

from probewright_packs.clothes_dryer.commands import HEAT
from probewright_packs.clothes_dryer.options_and_states import ELECTRIC, GAS, ISOLATED, POWERED
from probewright_packs.clothes_dryer.tests_air import AIR_TESTS
from probewright_packs.clothes_dryer.tests_closing import CLOSING_TESTS
from probewright_packs.clothes_dryer.tests_control import CONTROL_TESTS
from probewright_packs.clothes_dryer.tests_drive import DRIVE_TESTS
from probewright_packs.clothes_dryer.tests_gas import GAS_TESTS
from probewright_packs.clothes_dryer.tests_heat import HEAT_TESTS
from probewright_packs.clothes_dryer.tests_reported import REPORTED_TESTS
from probewright_packs.common.changes import only
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import outlet_tests, wiring_condition
from probewright_packs.common.two_legs_tests import leg_tests

#: What a look at the wiring of the heat shows.
_WIRING = {
    "heat_harness_open": {"sound": 0.25, "scorched": 0.74, "wet": 0.01},
    "lint_in_cabinet": {"sound": 0.9, "scorched": 0.095, "wet": 0.005},
    "motor_heater_contact_open": {"sound": 0.85, "scorched": 0.145, "wet": 0.005},
    "timer_heat_contact_open": {"sound": 0.93, "scorched": 0.065, "wet": 0.005},
    "heat_relay_open": {"sound": 0.95, "scorched": 0.045, "wet": 0.005},
}

TESTS = (
    *leg_tests(POWERED, "behind", circuit="heat", command=HEAT, when=ELECTRIC),
    *only(GAS, outlet_tests(POWERED, "behind")),
    wiring_condition(ISOLATED, "heat_source", {fault: remembered(seen) for fault, seen in _WIRING.items()}),
    *DRIVE_TESTS,
    *HEAT_TESTS,
    *AIR_TESTS,
    *CONTROL_TESTS,
    *GAS_TESTS,
    *CLOSING_TESTS,
    *REPORTED_TESTS,
)
