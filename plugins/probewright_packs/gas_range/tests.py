"""All tests of the family."""

from __future__ import annotations

from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import outlet_tests, wiring_condition
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.options_and_states import ISOLATED, LIVE_GAS_OFF
from probewright_packs.gas_range.tests_burner import burner_tests
from probewright_packs.gas_range.tests_closing import CLOSING_TESTS
from probewright_packs.gas_range.tests_cooktop import COOKTOP_TESTS
from probewright_packs.gas_range.tests_gas import GAS_TESTS
from probewright_packs.gas_range.tests_oven import OVEN_TESTS
from probewright_packs.gas_range.tests_reported import REPORTED_TESTS


def _wiring() -> dict[str, dict[str, float]]:
    burnt = {"sound": 0.5, "scorched": 0.49, "wet": 0.01}
    faults = {f"{burner}_harness_{way}": burnt for burner in BURNERS for way in ("open", "corroded")}
    return {
        **faults,
        "supply_cord_open": burnt,
        "board_wire_open": burnt,
        "ignition_harness_open": {"sound": 0.75, "scorched": 0.15, "wet": 0.1},
        "ignition_switch_stuck_closed": {"sound": 0.8, "scorched": 0.02, "wet": 0.18},
    }


TESTS = (
    *outlet_tests(LIVE_GAS_OFF, "outside"),
    wiring_condition(ISOLATED, "rear_panel", {fault: remembered(seen) for fault, seen in _wiring().items()}),
    *GAS_TESTS,
    *(test for burner in BURNERS for test in burner_tests(burner)),
    *OVEN_TESTS,
    *COOKTOP_TESTS,
    *CLOSING_TESTS,
    *REPORTED_TESTS,
)
