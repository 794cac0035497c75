"""A small invented appliance that a reviewer finds nothing wrong with.  Every number in it is invented.

The lantern: 100 V, a knob and a fuse of a tenth of an ohm each, and a filament of 49.8 ohm (plain) or 99.8 ohm (fancy),
so that a sound one takes 2 A or 1 A.
"""

from __future__ import annotations

from typing import Any

from probewright.circuit.laws import Resistance
from probewright.circuit.parts import Circuit, Drift, Open, Part, Source, Switch
from probewright.figures import Figure, Spread, invented, uniform
from probewright.packs.model import (
    Between,
    Closing,
    Complaint,
    DefaultCosts,
    Family,
    Fault,
    Function,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Repair,
    ReplaceablePart,
    Requirement,
    Shows,
    State,
    Stated,
    Supply,
    Table,
    Test,
    Through,
    Zone,
)  # fmt: skip

MAINS = "Mains voltage is on bare terminals: one hand, insulated probes."


def near(value: float) -> Spread:
    """Within two per cent."""
    return uniform(invented(0.98 * value), invented(1.02 * value))


def between(low: float, high: float) -> Spread:
    """Anywhere between."""
    return uniform(invented(low), invented(high))


def likely(**chances: float) -> dict[str, Figure]:
    """Chances by id."""
    return {name: invented(chance) for name, chance in chances.items()}


def wiring() -> Circuit:
    """Mains, knob, fuse and filament in one loop; the neutral is the reference."""
    return Circuit(
        "lamp", "neutral",
        (
            Source("mains", "line", "neutral", invented(100.0)),
            Switch("knob", "line", "hot", ("on",), near(0.1)),
            Part("fuse", "hot", "fed", Resistance(near(0.1))),
            Part("filament", "fed", "neutral", Resistance(near(49.8)), {"kind": "plain"}),
            Part("filament", "fed", "neutral", Resistance(near(99.8)), {"kind": "fancy"}),
        ),
        {"fuse_open": (Open("fuse"),), "filament_open": (Open("filament"),),
         "filament_weak": (Drift("filament", between(1.5, 2.0)),)},
        invented(60.0),
    )  # fmt: skip


LIT = Requirement("lamp", "filament", "current", "on", "live", between(0.4, 0.5))

TESTS = (
    Test("supply", "Supply voltage", "voltage", ("live",), "outside", invented(1.0),
         (Between("lamp", "line", "neutral"),), unit="V", measures="supply_voltage", steps=("Read at the outlet.",),
         cautions=(MAINS,)),
    Test("glow", "Glow of the filament", "seen", ("live",), "outside", invented(1.0),
         (Shows("lamp", "filament", "current", (between(0.1, 0.2), between(0.7, 0.8)), ("none", "dim", "bright")),),
         command="on", outcomes=("bright", "dim", "none")),
    Test("lamp_current", "Current of the lamp", "current", ("live",), "inside", invented(3.0),
         (Through("lamp", "filament"),), unit="A", command="on", steps=("Clamp one wire.",), cautions=(MAINS,),
         limits=(Limit(invented(1.8), invented(2.2), when={"kind": "plain"}),
                 Limit(invented(0.9), invented(1.1), when={"kind": "fancy"}))),
    Test("filament_resistance", "Resistance of the filament", "resistance", ("isolated",), "inside", invented(3.0),
         (Between("lamp", "fed", "neutral", ("fuse",)),), unit="ohm", steps=("Take the fuse out and read.",)),
    Test("glass", "Look of the glass", "seen", ("isolated",), "outside", invented(1.0),
         (Table(likely(clear=0.95, black=0.04, cracked=0.01),
                {"filament_open": likely(clear=0.3, black=0.6, cracked=0.1)}),),
         outcomes=("clear", "black", "cracked")),
    Test("warmth", "Warmth of the shade", "temperature", ("live",), "outside", invented(2.0),
         (Stated(between(30.0, 40.0), {"shade_crooked": between(60.0, 80.0)}),), unit="degC", command="on",
         limits=(Limit(high=invented(50.0)),), steps=("Hold the probe to the shade.",), cautions=("It is hot.",)),
)  # fmt: skip


def lantern(**changes: Any) -> Family:
    """The lantern, with some fields changed."""
    fields: dict[str, Any] = {
        "id": "lantern",
        "title": "Lantern",
        "version": "1.0.0",
        "supply": Supply(invented(100.0), between(97.0, 103.0)),
        "ambient": between(15.0, 30.0),
        "options": (
            Option("kind", "Kind of the lamp", (
                OptionValue("plain", "Plain", invented(0.7)), OptionValue("fancy", "Fancy", invented(0.3)))),
        ),
        "states": (
            State("isolated", "Unplugged", False, False, invented(1.0), ("Unplug it.",), (), 0),
            State("live", "Plugged in", True, False, invented(1.0), ("Plug it in.",), (MAINS,), 1),
        ),
        "zones": (
            Zone("outside", "Outside", invented(0.0)),
            Zone("inside", "Under the lid", invented(4.0), ("Lift the lid.",), ("Its edge is sharp.",)),
        ),
        "circuits": (wiring(),),
        "functions": (Function("lights", "It lights", (LIT,), {}, invented(0.001)),),
        "complaints": (
            Complaint("dark", "It stays dark", invented(0.001), "lights", invented(0.9)),
            Complaint("dim", "It is dim", invented(0.001), shown_by=likely(filament_weak=0.7)),
            Complaint("smells_burnt", "It smells burnt", invented(0.001), shown_by=likely(shade_crooked=0.5)),
        ),
        "tests": TESTS,
        "faults": (
            Fault("fuse_open", "Fuse open", invented(0.05), "fuse"),
            Fault("filament_open", "Filament open", invented(0.05), "bulb"),
            Fault("filament_weak", "Filament weak", invented(0.02), "bulb"),
            Fault("shade_crooked", "Shade crooked", invented(0.02)),
        ),
        "parts": (ReplaceablePart("fuse", "Fuse", invented(1.0)), ReplaceablePart("bulb", "Bulb", invented(4.0))),
        "repairs": (
            Repair("replace_fuse", "Replace the fuse", likely(fuse_open=1.0), invented(2.0), "isolated", ("inside",),
                   "fuse", steps=("Fit one of the same rating.",), closing_checks=("lit",)),
            Repair("replace_bulb", "Replace the bulb", likely(filament_open=1.0, filament_weak=1.0), invented(2.0),
                   "isolated", ("inside",), "bulb", steps=("Screw it in.",), closing_checks=("lit",)),
            Repair("straighten_shade", "Straighten the shade", likely(shade_crooked=0.9), invented(1.0), "isolated",
                   ("outside",), steps=("Bend it back.",), closing_checks=("cool",)),
        ),
        "interlocks": (
            Interlock("burning", "Something burns", "stop", "A burning shade sets rooms on fire.", ("smells_burnt",),
                      {}, {"warmth": invented(90.0)}, {"warmth": ("within",)}, ("Unplug it.",)),
        ),
        "closings": (Closing("lit", "It lights brightly.", "glow"), Closing("cool", "The shade stays cool.", "warmth")),
        "costs": DefaultCosts(invented(60.0), invented(50.0), invented(3.0), invented(40.0)),
        "unknown_rate": invented(0.01),
        "cautions": ("Glass breaks.",),
        "notice": "Invented.",
        "demo": True,
    }  # fmt: skip
    return Family(**(fields | changes))
