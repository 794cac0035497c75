"""A lamp with a heater on a switch: enough to have one record of every kind.  Every number is invented."""

from __future__ import annotations

from types import SimpleNamespace

from probewright.packs import (
    CONTRACT_VERSION,
    Between,
    Circuit,
    Closing,
    Complaint,
    DefaultCosts,
    Drift,
    Family,
    Fault,
    Function,
    Interlock,
    Limit,
    Open,
    Option,
    OptionValue,
    Part,
    Repair,
    ReplaceablePart,
    Requirement,
    Resistance,
    SelfHeating,
    Shows,
    Source,
    Spread,
    State,
    Stated,
    Supply,
    Switch,
    Table,
    Test,
    Through,
    Zone,
    exactly,
    hookimpl,
    invented,
    uniform,
)


def spread(low: float, high: float) -> Spread:
    return uniform(invented(low), invented(high))


OPTIONS = (
    Option("kind", "Kind",
           (OptionValue("plain", "Plain", invented(0.7)), OptionValue("fancy", "Fancy", invented(0.3)))),
    Option("shade", "Shade", (OptionValue("paper", "Paper", invented(1.0)),), {"kind": "fancy"}),
)  # fmt: skip
STATES = (
    State("isolated", "Unplugged", False, False, invented(1), ("Unplug it.",), (), 0),
    State("live", "Plugged in", True, False, invented(1), ("Plug it in.",), ("Mains voltage.",), 1),
)
ZONES = (Zone("outside", "Outside", invented(0)), Zone("inside", "Inside", invented(4), ("Open it.",)))
CIRCUIT = Circuit(
    "lamp",
    "earth",
    (
        Source("mains", "line", "neutral", invented(120)),
        Switch("knob", "line", "hot", ("on",), spread(0.01, 0.05)),
        Part("filament", "hot", "neutral", SelfHeating(spread(10, 12), spread(140, 150), invented(20)),
             {"kind": "plain"}),
        Part("filament", "hot", "neutral", Resistance(spread(200, 210)), {"kind": "fancy"}),
        Part("bond", "neutral", "earth", Resistance(exactly(invented(0.1)))),
    ),
    {"filament_open": (Open("filament"),), "filament_weak": (Drift("filament", spread(1.5, 2)),)},
    invented(60),
)  # fmt: skip
LIGHTS = Requirement("lamp", "filament", "current", "on", "live", spread(0.4, 0.5))
COMPLAINTS = (
    Complaint("dark", "It stays dark", invented(0.01), "lights", invented(0.9)),
    Complaint("flickers", "It flickers", invented(0.01), shown_by={"filament_weak": invented(0.4)}),
    Complaint("smells_burnt", "It smells burnt", invented(0.01)),
)
MEASURED = (
    Test("lamp_current", "Current", "current", ("live",), "outside", invented(2), (Through("lamp", "filament"),),
         unit="A", command="on", cautions=("Mains voltage.",), limits=(Limit(invented(0.7), invented(0.9)),)),
    Test("lamp_resistance", "Resistance", "resistance", ("isolated",), "inside", invented(3),
         (Between("lamp", "hot", "neutral", ("bond",)),), unit="ohm", needs=("ambient",)),
    Test("supply", "Supply", "voltage", ("live",), "outside", invented(1), (Between("lamp", "line", "neutral"),),
         unit="V", measures="supply_voltage", cautions=("Mains voltage.",)),
)  # fmt: skip
SEEN = (
    Test("glow", "Glow", "seen", ("live",), "outside", invented(1),
         (Shows("lamp", "filament", "current", (spread(0.1, 0.2), spread(0.4, 0.5)), ("none", "dim", "bright")),),
         command="on", outcomes=("bright", "dim", "none")),
    Test("glass", "Glass", "seen", ("isolated",), "outside", invented(1),
         (Table({"whole": invented(0.9), "cracked": invented(0.1)},
                {"filament_open": {"whole": invented(0.5), "cracked": invented(0.5)}},
                ((LIGHTS, "cracked"),)),), outcomes=("whole", "cracked")),
)  # fmt: skip
STATED = (
    Test("warmth", "Warmth", "temperature", ("live",), "outside", invented(5),
         (Stated(spread(-5, 5), {"filament_weak": spread(-20, -10)}, relative_to="set_point"),),
         unit="degC", needs=("set_point",)),
)  # fmt: skip
FAULTS = (
    Fault("filament_open", "Filament open", invented(0.05), "bulb"),
    Fault("filament_weak", "Filament weak", invented(0.02), "bulb", ("filament_open",)),
)
REPAIRS = (
    Repair("replace_bulb", "Replace the bulb", {"filament_open": invented(1.0), "filament_weak": invented(1.0)},
           invented(2), "isolated", ("inside",), "bulb", closing_checks=("lit",)),
)  # fmt: skip
INTERLOCKS = (
    Interlock("burning", "Something burns", "stop", "Fire.", ("smells_burnt",), {"glass": ("cracked",)},
              {"lamp_current": invented(2)}, {"glass": ("whole",)}, ("Unplug it.",)),
)  # fmt: skip


def lamp_family(**changes: object) -> Family:
    """The lamp, with some of its fields changed."""
    fields: dict[str, object] = {
        "id": "lamp",
        "title": "Lamp",
        "version": "1.2.0",
        "supply": Supply(invented(120), spread(110, 126)),
        "ambient": spread(15, 30),
        "options": OPTIONS,
        "states": STATES,
        "zones": ZONES,
        "circuits": (CIRCUIT,),
        "functions": (
            Function("lights", "It lights", (LIGHTS,), {"filament_open": invented(1.0)}, invented(0.001)),
        ),
        "complaints": COMPLAINTS,
        "tests": (*MEASURED, *SEEN, *STATED),
        "faults": FAULTS,
        "parts": (ReplaceablePart("bulb", "Bulb", invented(4)),),
        "repairs": REPAIRS,
        "interlocks": INTERLOCKS,
        "closings": (Closing("lit", "It lights.", "glow"),),
        "costs": DefaultCosts(invented(60), invented(50), invented(3), invented(40)),
        "unknown_rate": invented(0.01),
        "cautions": ("Glass breaks.",),
        "notice": "Invented.",
        "demo": True,
    }
    return Family(**(fields | changes))  # type: ignore[arg-type]  # a test may well give what does not fit


def lamp_pack(family: Family | None = None, contract: object = CONTRACT_VERSION, **hooks: object) -> SimpleNamespace:
    """A pack object: ``probewright_family`` and whatever hooks are given, all marked."""
    given = lamp_family() if family is None else family
    marked = {"probewright_family": lambda: given} | hooks
    return SimpleNamespace(CONTRACT=contract, **{name: hookimpl(hook) for name, hook in marked.items()})
