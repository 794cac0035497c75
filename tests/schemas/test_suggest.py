from __future__ import annotations

import pytest

from probewright_schemas.suggest import did_you_mean, nearest

KNOWN = ("bake_igniter_current", "bake_igniter_glow", "outlet_voltage")


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("bake_ignitor_current", "bake_igniter_current"),
        ("Bake Igniter-Glow", "bake_igniter_glow"),
        ("outlet_volts", "outlet_voltage"),
        ("zzz", None),
        ("", None),
        ("outlet_voltage" * 10, None),
    ],
)
def test_the_nearest_name(name, found):
    assert nearest(name, KNOWN) == found
    assert nearest(name, reversed(KNOWN)) == found


def test_the_words():
    assert did_you_mean("outlet_volts", KNOWN) == "; did you mean 'outlet_voltage'?"
    assert did_you_mean("zzz", KNOWN) == ""
    assert did_you_mean("zzz", ()) == ""
