"""What an eye or a beeper tells, from circuit values and from tables."""

from __future__ import annotations

import pytest

from probewright.engine import score_readings
from probewright.inference.seen import BEEPER_SCATTER, READ_OFF_DISPLAY, table_classes
from probewright.settings import Settings
from probewright_schemas.records import Meter, Quantity, Reading
from support.families import DOOR, DOOR_DIRTY, DOOR_LOOSE, case, door_table, evaluated, pack_of, supply, warmer

MISREAD = 0.01


def chances(reading, **fields):
    """The probability of what was seen under each single fault, misreading taken out."""
    outcomes = next(t for t in warmer().tests if t.id == reading.test).outcomes
    found = score_readings(case(reading, **fields), pack_of(), Settings(misread_rate=MISREAD))
    likelihoods = [2.718281828459045**value for value in found.readings[0].log_likelihoods]
    taken_out = [(p - MISREAD / len(outcomes)) / (1 - MISREAD) for p in likelihoods]
    return dict(zip(found.hypotheses, taken_out, strict=True))


class TestBeeper:
    """A sound heater of 24 ohm, a weak one of 36, through leads of 0.3 ohm."""

    def closed(self, threshold, **more):
        beeper = Meter("multimeter", beeper_threshold=Quantity(threshold, "ohm"), **more)
        return chances(Reading("heater_continuity", seen="closed", meter="it"), meters={"it": beeper})

    @pytest.mark.parametrize(("threshold", "sound", "weak"), [(20, False, False), (30, True, False), (50, True, True)])
    def test_sounds_under_its_threshold(self, threshold, sound, weak):
        found = self.closed(threshold)
        silent = float(READ_OFF_DISPLAY)
        assert found["no_fault"] == pytest.approx(1.0 if sound else silent)
        assert found["heater_weak"] == pytest.approx(1.0 if weak else silent)
        assert found["heater_open"] == pytest.approx(0.0, abs=1e-12)

    def test_threshold_is_not_sharp(self):
        # Anywhere within the documented share of what is said: 24.3 ohm against 24.3 ohm is even.
        beeps = 0.5
        assert self.closed(24.3)["no_fault"] == pytest.approx(beeps + float(READ_OFF_DISPLAY) * (1 - beeps), abs=0.02)
        margin = 24.3 * float(BEEPER_SCATTER)
        assert self.closed(24.3 + 1.2 * margin)["no_fault"] == pytest.approx(1.0)
        assert self.closed(24.3 - 1.2 * margin)["no_fault"] == pytest.approx(float(READ_OFF_DISPLAY))

    def test_leads_count_unless_zeroed(self):
        long_leads = {"lead_resistance": Quantity(10.0, "ohm")}
        assert self.closed(29.0, **long_leads)["no_fault"] < 0.5
        assert self.closed(29.0, leads_zeroed=True, **long_leads)["no_fault"] == pytest.approx(1.0)

    def test_silence_is_weak_evidence_of_an_open(self):
        # Under a threshold that a sound heater does not reach, silence says little.
        silent = Reading("heater_continuity", seen="open", meter="it")
        meters = {"it": Meter("multimeter", beeper_threshold=Quantity(15.0, "ohm"))}
        found = evaluated(case(silent, meters=meters))
        assert found.present[found.faults.index("heater_open")] < 0.12
        found = evaluated(case(silent, meters={"it": Meter("multimeter", beeper_threshold=Quantity(60.0, "ohm"))}))
        assert found.present[found.faults.index("heater_open")] > 0.8


class TestGlow:
    """Edges anywhere from 0.8 to 1.2 A, and from 2.8 to 3.2 A."""

    @pytest.mark.parametrize(
        ("volts", "sound", "weak"),
        [(100.0, "bright", "dim"), (60.0, "dim", "dim"), (25.0, "dim", "none"), (15.0, "none", "none")],
    )
    def test_follows_the_current(self, volts, sound, weak):
        for seen in ("bright", "dim", "none"):
            found = chances(Reading("glow", seen=seen, conditions=supply(volts)))
            if volts == 25.0:  # a sound one takes 1 A: even between dim and none
                assert found["no_fault"] == pytest.approx(0.0 if seen == "bright" else 0.5, abs=0.06)
            else:
                assert found["no_fault"] == pytest.approx(float(seen == sound), abs=1e-9)
            assert found["heater_weak"] == pytest.approx(float(seen == weak), abs=1e-9)
            assert found["heater_open"] == pytest.approx(float(seen == "none"), abs=1e-9)

    def test_on_an_edge(self):
        # 75 V: 3 A, in the middle of 2.8 to 3.2.
        bright, dim = (chances(Reading("glow", seen=s, conditions=supply(75.0)))["no_fault"] for s in ("bright", "dim"))
        assert bright == pytest.approx(0.5, abs=0.03)
        assert bright + dim == pytest.approx(1.0, abs=1e-9)


class TestTables:
    def test_rows_as_stated(self):
        for outcome, healthy in DOOR.items():
            found = chances(Reading("door", seen=outcome))
            assert found["no_fault"] == pytest.approx(healthy)
            assert found["door_loose"] == pytest.approx(DOOR_LOOSE[outcome])
            assert found["lamp_dirty"] == pytest.approx(DOOR_DIRTY[outcome])
            assert found["heater_open"] == pytest.approx(healthy)

    def test_two_faults_show_the_later_of_two_draws(self):
        faults, classes, rows = table_classes(door_table(), ("shut", "ajar", "gone"))
        assert faults == ("door_loose", "lamp_dirty")
        shut = DOOR_LOOSE["shut"] * DOOR_DIRTY["shut"]
        not_gone = (1 - DOOR_LOOSE["gone"]) * (1 - DOOR_DIRTY["gone"])
        assert rows[classes[1, 2]].tolist() == pytest.approx([shut, not_gone - shut, 1 - not_gone])
        assert classes[1, 2] == classes[2, 1]
        assert classes[0, 0] == 0
        assert rows.sum(axis=1).tolist() == pytest.approx([1.0] * len(rows))

    def test_dark_without_what_it_needs(self):
        # A lamp that is lit shows that the heater gets its current.
        lit = chances(Reading("lamp", seen="lit"))
        assert lit["heater_open"] == pytest.approx(0.0, abs=1e-12)
        assert lit["heater_weak"] == pytest.approx(0.0, abs=1e-12)
        assert lit["no_fault"] == pytest.approx(0.99)
        assert lit["lamp_dirty"] == pytest.approx(0.3)
        dark = chances(Reading("lamp", seen="dark"))
        assert dark["heater_open"] == pytest.approx(1.0)
