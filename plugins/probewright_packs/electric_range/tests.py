"""All tests of the family."""

from __future__ import annotations

from probewright_packs.electric_range.tests_closing import CLOSING_TESTS
from probewright_packs.electric_range.tests_control import CONTROL_TESTS
from probewright_packs.electric_range.tests_oven import OVEN_TESTS
from probewright_packs.electric_range.tests_reported import REPORTED_TESTS
from probewright_packs.electric_range.tests_surface import SURFACE_TESTS

TESTS = (*CONTROL_TESTS, *OVEN_TESTS, *SURFACE_TESTS, *REPORTED_TESTS, *CLOSING_TESTS)
