"""Range hoods, as an example of a pack without a circuit, in one module.  Appliance and numbers are invented."""

from probewright.packs import (  # noqa: I001  a line for each name would be a quarter of the module
    Closing, Complaint, DefaultCosts, Family, Fault, Figure, Function, Interlock, Repair, ReplaceablePart, Spread,
    State, Stated, Supply, Table, Test, Zone, hookimpl, invented, log_uniform, normal, uniform
)

CONTRACT = "1.1"


def _between(low: float, high: float) -> Spread:
    return uniform(invented(low), invented(high))


def _chances(**values: float) -> dict[str, Figure]:
    return {name: invented(value) for name, value in values.items()}


STATES = (
    State("isolated", "Breaker off, proven dead, capacitor discharged", False, False, invented(3.0),
          ("Switch the breaker off and secure it; try the meter, prove the hood dead, and try the meter again.",
           "Before anything behind the cover is touched, discharge the capacitor through a resistor, and prove it."),
          ("A run capacitor keeps its charge when the power is off.",), 0),
    State("live", "Powered", True, False, invented(2.0), ("Close every cover, clear the cooktop, switch on.",),
          ("The fan starts by itself: keep hands, hair and tools out of its inlet.",), 1),
)  # fmt: skip
ZONES = (Zone("outside", "Below the hood", invented(0.0)),
         Zone("inside", "Behind filter and cover", invented(5.0), ("Take out the filter, then undo the cover.",),
              ("Sheet metal is sharp: wear gloves, and stand on a step that cannot tip.",)))  # fmt: skip
FAULTS = (
    Fault("no_supply", "No supply at the hood", invented(0.02)),
    Fault("filter_clogged", "Grease filter clogged", invented(0.06), "filter"),
    Fault("motor_open", "Winding of the fan motor open", invented(0.02), "motor"),
    Fault("capacitor_weak", "Run capacitor weak", invented(0.03), "capacitor"),
)
TESTS = (
    Test("fan", "Fan at its high speed", "seen", ("live",), "outside", invented(1.0), (Table(
        _chances(strong=0.97, weak=0.02, still=0.01), {
            "no_supply": _chances(still=1.0), "motor_open": _chances(still=1.0),
            "filter_clogged": _chances(strong=0.1, weak=0.9),
            "capacitor_weak": _chances(strong=0.05, weak=0.55, still=0.4)}),), outcomes=("strong", "weak", "still"),
         steps=("Hold a sheet of paper to the filter.",), cautions=("Nothing cooks below meanwhile.",)),
    Test("lamp", "Lamp of the hood", "seen", ("live",), "outside", invented(0.5), (Table(
        _chances(lit=0.97, dark=0.03), {"no_supply": _chances(dark=1.0)}),), outcomes=("lit", "dark")),
    Test("filter", "Grease in the filter", "seen", ("isolated",), "outside", invented(1.0), (Table(
        _chances(clean=0.97, greasy=0.03), {"filter_clogged": _chances(greasy=1.0)}),), outcomes=("clean", "greasy")),
    Test("wiring", "Wiring inside", "seen", ("isolated",), "inside", invented(2.0), outcomes=("sound", "scorched"),
         models=(Table(_chances(sound=0.99, scorched=0.01), {"capacitor_weak": _chances(sound=0.9, scorched=0.1)}),)),
    Test("motor_resistance", "Resistance of the fan motor", "resistance", ("isolated",), "inside", invented(3.0),
         (Stated(_between(28.0, 36.0), {"motor_open": log_uniform(invented(1e8), invented(1e9))}),), unit="ohm",
         instrument="multimeter", steps=("Pull the motor's plug, and read across the winding.",),
         cautions=("Discharge the run capacitor before the meter touches anything.",)),
    Test("capacitance", "Run capacitor", "capacitance", ("isolated",), "inside", invented(3.0),
         (Stated(_between(3.8, 4.2), {"capacitor_weak": _between(0.5, 3.2)}),), unit="uF", instrument="multimeter",
         steps=("Pull off its leads.",), cautions=("Discharge it before the meter or a hand touches it.",)),
)  # fmt: skip


def _repair(id_: str, title: str, zone: str, fault: str, cure: float, part: str | None, *steps: str) -> Repair:
    proof = ("air_moves",) if zone == "outside" else ("wiring_sound", "air_moves")
    cures = _chances(**{fault: cure})
    return Repair(id_, title, cures, invented(10.0), "isolated", (zone,), part, None, steps, (), proof)


FAMILY = Family(
    id="range_hood", title="Range hood", version="0.1.0", demo=True, ambient=_between(15.0, 35.0), options=(),
    supply=Supply(invented(120.0), normal(invented(120.0), invented(3.0))), states=STATES, zones=ZONES, circuits=(),
    functions=(Function("moves_air", "It moves air", (), fails_with=_chances(
        no_supply=1.0, motor_open=1.0, capacitor_weak=0.9, filter_clogged=0.7), fails_anyway=invented(0.005)),),
    complaints=(Complaint("no_air", "Hardly any air, or none", invented(0.005), "moves_air", invented(0.9)),
                Complaint("hums", "It hums", invented(0.01), shown_by=_chances(capacitor_weak=0.5)),
                Complaint("smells_burnt", "It smells burnt", invented(0.001), shown_by=_chances(capacitor_weak=0.1))),
    tests=TESTS, faults=FAULTS, parts=tuple(ReplaceablePart(id_, title, invented(price)) for id_, title, price in (
        ("filter", "Grease filter", 20.0), ("motor", "Fan motor", 70.0), ("capacitor", "Run capacitor", 12.0))),
    repairs=(
        _repair("restore_supply", "Have the supply restored", "outside", "no_supply", 0.85, None,
                "Look for a tripped breaker, and why it opened; house wiring is left to a licensed electrician."),
        _repair("replace_filter", "Replace the filter", "outside", "filter_clogged", 0.98, "filter", "Slide one in."),
        _repair("replace_motor", "Replace the motor", "inside", "motor_open", 0.98, "motor", "Ground wire first."),
        _repair("replace_capacitor", "Replace the capacitor", "inside", "capacitor_weak", 0.97, "capacitor",
                "Fit one of the same capacitance and no lower voltage.")),
    interlocks=(Interlock(
        "burning", "Something overheats", "stop", "It smells burnt, or wiring is scorched: power could start a fire.",
        ("smells_burnt",), {"wiring": ("scorched",)}, cleared_by={"wiring": ("sound",)},
        steps=("Switch the breaker off. When there is smoke, get everybody out and call the fire service.",
               "Leave it off until the wiring has been put right and looked at again.")),),
    closings=(Closing("wiring_sound", "The wiring behind the cover is sound.", "wiring", guarded=True),
              Closing("air_moves", "At high speed the filter holds a sheet of paper.", "fan")),
    costs=DefaultCosts(invented(90.0), invented(150.0), invented(4.0), invented(100.0)), unknown_rate=invented(0.005),
    cautions=("Nothing is hot on the cooktop below, and a run capacitor is discharged before it is touched.",),
    notice="Invented, for demonstration only. Follow local codes; leave house wiring to licensed electricians.",
    checklist=("lamp", "fan", "filter", "motor_resistance", "capacitance", "wiring"),
)  # fmt: skip


@hookimpl
def probewright_family() -> Family:
    """The range hood."""
    return FAMILY
