"""The split-phase motor: standing, running, and each fault, with phasors worked out by hand."""

from __future__ import annotations

import math

import pytest

from probewright.packs import Circuit, Part, Resistance, Switch, exactly, from_memory
from probewright_packs.common import (
    CLOSED,
    FREQUENCY,
    heater_contact,
    heater_contact_changes,
    legs,
    motor_changes,
    motor_stands,
    split_phase_motor,
    together,
    windings_circuit,
)
from support.middle import Bench

COMMANDS = ("off", "start", "run")
#: Everything in series with the motor: cord, terminals and neutral, that of the service, the door's contact, protector.
IN_SERIES = 2 * (0.07 + 0.015) + 0.025 + 0.055 + 0.06
CONTACT = 0.055


def drive() -> Circuit:
    """A motor on leg one behind a door switch, and a heater between the legs behind its centrifugal switch."""
    heater = Part("heater", "leg_one", "heater_end", Resistance(exactly(from_memory(24.0))))
    parts = (
        *legs(),
        Switch("door", "leg_one", "motor_hot", ("start", "run"), CLOSED),
        *split_phase_motor("motor", "motor_hot", "neutral", commands=COMMANDS, running=("run",)),
        heater, heater_contact("motor", "heater_end", "leg_two", ("run",)),
    )  # fmt: skip
    changes = together(motor_changes("motor", ("drum_jammed",)), heater_contact_changes("motor"))
    return Circuit("drive", "earth", parts, changes, FREQUENCY)


DRIVE = drive()
STANDING, RUNNING, OFF = (Bench(DRIVE, command, 20.0) for command in ("start", "run", "off"))


def winding(ohms: float, henries: float) -> complex:
    return complex(ohms, 2 * math.pi * 60 * henries)


MAIN, START, TURNING = winding(2.3, 0.011), winding(6.0, 0.009), winding(10.5, 0.036)


def standing(main: complex | None = MAIN, start: complex | None = START) -> complex:
    """Amperes of both windings side by side on 120 V."""
    both = (0 if main is None else 1 / (main + 0.015)) + (0 if start is None else 1 / (start + CONTACT))
    return 120.0 / (1 / both + IN_SERIES)


def test_at_standstill_both_windings_draw_the_locked_rotor_current() -> None:
    assert STANDING.amperes("motor_protector") == pytest.approx(abs(standing()), rel=5e-3)
    assert 30.0 < STANDING.amperes("motor_protector") < 45.0
    # The start winding's current leads that of the main winding: that is what turns the field.
    lead = math.degrees(math.atan2(MAIN.imag, MAIN.real) - math.atan2(START.imag, START.real))
    ratio = STANDING.phasor("motor_start") / STANDING.phasor("motor_main")
    assert math.degrees(math.atan2(ratio.imag, ratio.real)) == pytest.approx(lead, abs=1.0)
    assert lead > 20.0


def test_running_it_draws_a_fraction_of_that_through_the_main_winding_alone() -> None:
    # The heater's 10 A take 0.85 V off leg one.
    amperes = abs((120.0 - 0.85) / (MAIN + TURNING + IN_SERIES))
    assert RUNNING.amperes("motor_main") == pytest.approx(amperes, rel=5e-3)
    assert 4.5 < amperes < 6.5
    assert RUNNING.amperes("motor_start") < 1e-6
    assert STANDING.amperes("motor_protector") > 5 * RUNNING.amperes("motor_protector")


def test_the_heater_is_on_only_while_it_turns() -> None:
    assert RUNNING.amperes("heater") == pytest.approx(240.0 / 24.3, rel=0.01)
    assert STANDING.amperes("heater") < 1e-6
    assert OFF.amperes("heater") < 1e-6
    assert OFF.amperes("motor_protector") < 1e-6


@pytest.mark.parametrize("fault", ["drum_jammed", "motor_bearings_seized"])
@pytest.mark.parametrize("bench", [STANDING, RUNNING], ids=["start", "run"])
def test_what_is_jammed_hums_and_stays_at_standstill(fault: str, bench: Bench) -> None:
    assert bench.amperes("motor_protector", fault) == pytest.approx(abs(standing()), rel=5e-3)
    assert bench.amperes("heater", fault) < 1e-6


@pytest.mark.parametrize(("fault", "amperes"), [
    ("motor_start_open", abs(standing(start=None))), ("motor_start_contact_open", abs(standing(start=None))),
    ("motor_main_open", abs(standing(main=None))),
    ("motor_turns_shorted", abs(standing(main=MAIN * 0.525))), ("motor_protector_open", 0.0),
])  # fmt: skip
def test_electrical_faults_keep_it_standing(fault: str, amperes: float) -> None:
    for bench in (STANDING, RUNNING):
        assert bench.amperes("motor_protector", fault) == pytest.approx(amperes, rel=5e-3, abs=1e-6)
        assert bench.amperes("heater", fault) < 1e-6
    # One winding alone draws less than both, and far more than a motor that runs.
    assert amperes == 0.0 or amperes > 2 * RUNNING.amperes("motor_protector")


def test_a_start_contact_that_sticks_leaves_the_start_winding_on() -> None:
    assert RUNNING.amperes("motor_start", "motor_start_contact_stuck") == pytest.approx(
        abs(120.0 / (START + IN_SERIES)), rel=0.05
    )
    assert RUNNING.amperes("motor_protector", "motor_start_contact_stuck") > 3 * RUNNING.amperes("motor_protector")
    assert RUNNING.amperes("heater", "motor_start_contact_stuck") > 9.0


def test_contacts_of_the_heater() -> None:
    assert RUNNING.amperes("heater", "motor_heater_contact_open") < 1e-6
    for bench in (OFF, STANDING):
        assert bench.amperes("heater", "motor_heater_contact_welded") == pytest.approx(240.0 / 24.2, rel=0.01)


def test_ohms_of_the_windings_tell_which_is_open() -> None:
    sound = OFF.ohms("motor_feed", "neutral")
    assert sound == pytest.approx(1 / (1 / (2.3 + 0.015) + 1 / (6.0 + CONTACT)), rel=1e-3)
    assert OFF.ohms("motor_feed", "neutral", "motor_start_open") == pytest.approx(2.315, rel=1e-3)
    assert OFF.ohms("motor_feed", "neutral", "motor_main_open") == pytest.approx(6.055, rel=1e-3)
    assert OFF.ohms("motor_hot", "neutral", "motor_protector_open") > 1e9
    assert OFF.ohms("motor_feed", "neutral", "motor_turns_shorted") < 0.65 * sound


def test_a_grounded_winding_leads_to_the_frame() -> None:
    apart = ("neutral_conductor", "house_one", "house_two", "cord_one", "cord_two", "service_neutral")
    assert OFF.ohms("motor_feed", "chassis", apart=apart) > 1e9
    assert OFF.ohms("motor_feed", "chassis", "motor_grounded", apart=apart) == pytest.approx(
        (0.5 * 5e4) ** 0.5, rel=1e-3
    )


def test_a_hot_winding_reads_more_than_a_cold_one() -> None:
    # (234.5 + 75)/(234.5 + 20) = 1.21611.
    windings = windings_circuit("windings", "motor")
    for node, ohms in (("motor_feed", 2.3), ("motor_start_feed", 6.0)):
        hot, cold = (Bench(windings, "off", degrees).ohms(node, "common") for degrees in (75.0, 20.0))
        assert cold == pytest.approx(ohms, rel=1e-6)
        assert hot / cold == pytest.approx(1.21611, abs=1e-5)


def test_an_open_winding_and_shorted_turns_show_in_the_windings_ohms() -> None:
    unplugged = Bench(windings_circuit("windings", "motor"), "off", 20.0)
    assert unplugged.ohms("motor_feed", "common", "motor_main_open") > 1e9
    assert unplugged.ohms("motor_start_feed", "common", "motor_main_open") == pytest.approx(6.0, rel=1e-6)
    assert unplugged.ohms("motor_start_feed", "common", "motor_start_open") > 1e9
    assert unplugged.ohms("motor_feed", "common", "motor_turns_shorted") == pytest.approx(0.525 * 2.3, rel=1e-6)


def test_what_holds_the_motor_brings_the_changes_of_standing() -> None:
    assert DRIVE.changes["drum_jammed"] == motor_stands("motor")
    assert set(motor_stands("motor")) <= set(DRIVE.changes["motor_start_open"])


def test_parts_can_be_restricted_to_builds() -> None:
    when = {"drive": "belt"}
    parts = split_phase_motor("motor", "hot", "neutral", commands=COMMANDS, running=("run",), when=when)
    assert {str(part.when) for part in (*parts, heater_contact("motor", "a", "b", ("run",), when))} == {str(when)}
