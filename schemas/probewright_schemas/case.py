"""The schemas of a case: what a request holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, get_args

from probewright_schemas import records
from probewright_schemas.base import RecordSchema, Rule
from probewright_schemas.days import Day
from probewright_schemas.faults import Message, Path
from probewright_schemas.fields import Choice, Flag, Item, Keyed, Listing, Number, Text
from probewright_schemas.limits import LONGEST_UNIT
from probewright_schemas.suggest import did_you_mean

MOST_READINGS = 200
MOST_VALUES = 50
MOST_NAMES = 50
MOST_REPAIRS_DONE = 12
MOST_METERS = 20
MOST_LIMITS = 100
MOST_PRICES = 200
_COUNTED = 2.0**53

Problems = Sequence[tuple[Path, Message]]

_RESULTS = ("value", "values", "seen", "over_range", "under_range")


def _unit(example: str, description: str = "The unit, in the trade's spelling.", *, required: bool = True) -> Text:
    return Text(description, example=example, longest=LONGEST_UNIT, required=required)


class QuantitySchema(RecordSchema):
    """A number and the unit it was given in."""

    record = records.Quantity
    closed = True
    value = Number("The number.", example=70, unit="as `unit` says", required=True)
    unit = _unit("degF")


def _quantity(description: str, value: float, unit: str) -> Item:
    return Item(QuantitySchema, description, example={"value": value, "unit": unit})


class ConditionsSchema(RecordSchema):
    """What readings depend on."""

    record = records.Conditions
    closed = True
    ambient = _quantity("Temperature at the part being read, not of the room if they differ.", 70, "degF")
    supply_voltage = _quantity("Supply voltage at the appliance while it works.", 121, "V")
    set_point = _quantity("What the control was set to.", 350, "degF")


class MeterSchema(RecordSchema):
    """An instrument, as its data sheet describes it.  What is not given is assumed by kind, and the answer says so."""

    record = records.Meter
    closed = True
    kind = Text("The kind of instrument.", example="multimeter", required=True)
    percent_of_reading = Number("Accuracy: share of the reading.", example=0.5, unit="%", least=0, most=100)
    counts = Number("Accuracy: last digits of the display.", example=2, unit="digits", least=0, most=1e6)
    resolution = _quantity("One step of the display, in the range that was used.", 0.1, "ohm")
    lead_resistance = _quantity("Resistance of both test leads together.", 0.3, "ohm")
    leads_zeroed = Flag("Whether the lead resistance was nulled before reading.", example=True)
    input = Choice(
        "High impedance, as usual, or a low-impedance position that loads floating wires.",
        ("high_impedance", "low_impedance"),
        example="high_impedance",
    )
    input_impedance = _quantity("Impedance of the voltage input.", 10, "Mohm")
    sensing = Choice("How it converts alternating quantities.", ("true_rms", "average"), example="true_rms")
    beeper_threshold = _quantity("Resistance under which the continuity beeper sounds.", 40, "ohm")
    maximum_resistance = _quantity("Largest resistance that it shows before over-range.", 40, "Mohm")
    id = Text(
        "Your own number of this very instrument, by which a later correction finds its readings; without it the name "
        "in `meters` counts.",
        example="clamp-07",
    )


class CorrectionSchema(RecordSchema):
    """What a calibration found of a meter: `shown + offset + (gain - 1) * (shown - at)` is what was there."""

    record = records.Correction
    closed = True
    gain = Number("Factor; 1 for none.", example=1.064, unit="1", least=0.1, most=10)
    gain_uncertainty = Number("Standard uncertainty of the factor.", example=0.004, unit="1", least=0, most=1)
    offset = _quantity("What is added: a difference, of a temperature in kelvin or degrees Fahrenheit.", 0.02, "A")
    offset_uncertainty = _quantity("Standard uncertainty of what is added.", 0.01, "A")
    at = _quantity(
        "The reading at which the offset alone is the correction; nothing when absent, of a temperature 0 degC.", 0, "A"
    )
    correlation = Number(
        "Correlation of factor and offset, as a fitted line has it.", example=-0.93, unit="1", least=-1, most=1
    )


def _one_result(reading: Mapping[str, Any]) -> Problems:
    """A reading has exactly one result, and a number has a unit."""
    given = [name for name in _RESULTS if reading.get(name, False) is not False]
    if len(given) != 1:
        which = f"not {' and '.join(given)}" if given else "and it has none"
        return [((), Message(f"needs exactly one of {', '.join(_RESULTS)}; {which}", "exclusive"))]
    if given[0] in ("value", "values") and "unit" not in reading:
        return [(("unit",), Message("is required with a number", "missing"))]
    if given[0] == "seen" and "unit" in reading:
        return [(("unit",), Message("what was seen has no unit", "exclusive"))]
    if given[0] not in ("value", "values") and "correction" in reading:
        return [(("correction",), Message("is of a number, and there is none", "exclusive"))]
    return ()


def _has_one_result(reading: records.Reading) -> bool:
    numbers = (reading.value is not None) + (reading.values is not None)
    if numbers == 1:
        return reading.unit is not None and reading.seen is None and not (reading.over_range or reading.under_range)
    if numbers or reading.correction is not None:
        return False
    if reading.seen is not None:
        return reading.unit is None and not (reading.over_range or reading.under_range)
    return reading.over_range != reading.under_range


class ReadingSchema(RecordSchema):
    """One test's result: exactly one of `value`, `values`, `seen`, `over_range` and `under_range`."""

    record = records.Reading
    closed = True
    rules = (_one_result,)
    clean: ClassVar[staticmethod[[Any], bool] | None] = staticmethod(_has_one_result)
    test = Text("The test, an id of the family.", example="bake_igniter_current", required=True)
    value = Number("What the meter showed.", example=2.6, unit="as `unit` says")
    values = Listing(
        Number("One of several readings of the same thing.", example=2.6, unit="as `unit` says"),
        "Repeated readings of the same thing.",
        example=[2.6, 2.7, 2.6],
        least=1,
        most=MOST_VALUES,
    )
    unit = _unit("A", "The unit, in the trade's spelling; required with `value` and `values`.", required=False)
    over_range = Flag("The display showed over-range (OL).", example=False, default=False)
    under_range = Flag("The display showed under-range.", example=False, default=False)
    seen = Text("What was seen, an outcome of the test.", example="dim_orange")
    state = Text(
        "The state it was taken in, an id of the family; the test's recommended one when absent.",
        example="live_gas_off",
    )
    meter = Text("The meter it was taken with, a name in `meters`.", example="dmm")
    conditions = Item(
        ConditionsSchema,
        "Conditions of this reading where they differ from the case's.",
        example={"ambient": {"value": 70, "unit": "degF"}},
    )
    after_repair = Text(
        "The repair of `repairs_done` after which it was taken, and before the next; left out where it was taken "
        "before any repair.",
        example="replace_bake_igniter",
    )
    day = Day("The day on which it was taken, where that is not the case's.", example="2026-08-28")
    correction = Item(
        CorrectionSchema,
        "What a calibration found of the meter, applied to the reading before its uncertainty and its verdict.",
        example={"gain": 1.064, "gain_uncertainty": 0.004},
    )


def _some_limit(limits: Mapping[str, Any]) -> Problems:
    """Limits have a side, and the sides are in order."""
    if "low" not in limits and "high" not in limits:
        return [((), Message("needs low, high or both", "missing"))]
    low, high = limits.get("low"), limits.get("high")
    if isinstance(low, int | float) and isinstance(high, int | float) and low > high:
        return [(("low",), Message(f"is above high ({high:g})", "range"))]
    return ()


def _has_a_side(limits: records.Limits) -> bool:
    low, high = limits.low, limits.high
    if low is None or high is None:
        return low is not None or high is not None
    # Whole numbers that a float cannot tell apart may be in another order as they were written.
    return low < high or (low == high and abs(low) < _COUNTED)


class LimitsSchema(RecordSchema):
    """Limits from the maker's technical sheet; either side may be open."""

    record = records.Limits
    closed = True
    rules = (_some_limit,)
    clean: ClassVar[staticmethod[[Any], bool] | None] = staticmethod(_has_a_side)
    unit = _unit("A")
    low = Number("Lowest sound value.", example=3.2, unit="as `unit` says")
    high = Number("Highest sound value.", example=3.6, unit="as `unit` says")


class RepairDoneSchema(RecordSchema):
    """A repair already made, and whether the complaint is still there."""

    record = records.RepairDone
    closed = True
    repair = Text("The repair, an id of the family.", example="clean_burner_ports", required=True)
    complaint_remains = Flag("Whether the complaint was still there afterwards.", example=True, required=True)


def _cost(description: str, example: float, unit: str = "currency of the shop") -> Number:
    return Number(description, example=example, unit=unit, least=0, most=1e9)


class CaseCostsSchema(RecordSchema):
    """A shop's own costs, in its own currency; what is missing comes from the pack."""

    record = records.CaseCosts
    closed = True
    labour_per_hour = _cost("Labour.", 95, "currency of the shop per hour")
    callback = _cost("What it costs to come back, or to hand the job on.", 120)
    return_visit = _cost("What a second trip costs when a part is not at hand.", 110)
    parts = Keyed(
        _cost("Price of the part.", 48),
        "Prices of parts, by the family's part ids.",
        example={"bake_igniter": 48},
        most=MOST_PRICES,
    )


def _brought(description: str, each: str, example: str) -> Listing:
    item = Text(each, example=example)
    return Listing(item, description, example=[example], most=MOST_NAMES, unique=True)


class VisitSchema(RecordSchema):
    """What a visit brings along.  What is left out was not said, and everything of it counts as there."""

    record = records.Visit
    closed = True
    tools = _brought(
        "Instruments at hand, as the family's tests name them; tests that need another are not proposed.",
        "An instrument.", "multimeter",
    )  # fmt: skip
    skills = _brought(
        "Skills and licences of whoever goes, as the family's tests and repairs name them.", "A skill.", "gas_licence"
    )
    parts_on_hand = _brought(
        "Parts at hand, ids of the family; another costs a return visit. Where it is left out and the shop has said "
        "what is on its van, that is at hand. Of a visit that is planned: parts in stock, beside those on the van.",
        "A part.", "bake_igniter",
    )  # fmt: skip


def _known_meters(case: Mapping[str, Any]) -> Problems:
    """A reading's meter is one of the case's."""
    meters, readings = case.get("meters", {}), case.get("readings")
    if not isinstance(meters, dict) or not isinstance(readings, list):
        return ()
    named = [(i, r.get("meter")) for i, r in enumerate(readings) if isinstance(r, dict)]
    return [
        (("readings", index, "meter"), _no_such_meter(name, meters))
        for index, name in named
        if isinstance(name, str) and name not in meters
    ]


def _no_such_meter(name: str, meters: Mapping[Any, object]) -> Message:
    known = sorted(key for key in meters if isinstance(key, str))
    hint = did_you_mean(name, known) or f"; it has {', '.join(known) or 'none'}"
    return Message(f"the case has no such meter{hint}", "unknown_meter")


def _knows_its_meters(case: records.Case) -> bool:
    named = {reading.meter for reading in case.readings}
    named.discard(None)
    return named <= case.meters.keys()


class CaseSchema(RecordSchema):
    """One job: what is known about the appliance, what it does wrong, and what was read."""

    record: ClassVar[type[Any]] = records.Case
    closed = True
    rules: ClassVar[tuple[Rule, ...]] = (_known_meters,)
    clean: ClassVar[staticmethod[[Any], bool] | None] = staticmethod(_knows_its_meters)
    family = Text("The appliance family, an id from `GET /v1/families`.", example="gas_range", required=True)
    reference = Text("Your own name for the job, given back with the answer.", example="job-1042", longest=200)
    options = Keyed(
        Text("The value, an id of the family.", example="natural_gas"),
        "How this appliance is built, by the family's option ids; options left out are weighed.",
        example={"fuel": "natural_gas", "oven_ignition": "hot_surface"},
        most=MOST_NAMES,
    )
    complaints = Listing(
        Text("A complaint, an id of the family.", example="bake_does_not_light"),
        "What the customer says is wrong.",
        example=["bake_does_not_light"],
        most=MOST_NAMES,
        unique=True,
    )
    working = Listing(
        Text("A function, an id of the family.", example="surface_burners_light"),
        "Functions that were confirmed to work.",
        example=["surface_burners_light", "display_on"],
        most=MOST_NAMES,
        unique=True,
    )
    conditions = Item(
        ConditionsSchema,
        "Conditions of all readings that do not give their own.",
        example={"ambient": {"value": 70, "unit": "degF"}, "supply_voltage": {"value": 121, "unit": "V"}},
    )
    meters = Keyed(
        Item(MeterSchema, "One instrument."),
        "The instruments used, by names of your own that readings refer to.",
        example={"dmm": {"kind": "multimeter", "percent_of_reading": 0.5, "counts": 2}},
        most=MOST_METERS,
    )
    readings = Listing(
        Item(ReadingSchema, "One reading."),
        "What was measured and seen, in the order it was.",
        example=[{"test": "bake_igniter_current", "value": 2.6, "unit": "A", "meter": "dmm"}],
        most=MOST_READINGS,
    )
    tech_sheet = Keyed(
        Item(LimitsSchema, "Limits of one test."),
        "Limits from the maker's technical sheet, by test id; they replace the pack's.",
        example={"bake_igniter_current": {"low": 3.2, "high": 3.6, "unit": "A"}},
        most=MOST_LIMITS,
    )
    repairs_done = Listing(
        Item(RepairDoneSchema, "One repair."),
        "Repairs already made, in the order they were.",
        example=[{"repair": "clean_burner_ports", "complaint_remains": True}],
        most=MOST_REPAIRS_DONE,
    )
    costs = Item(
        CaseCostsSchema,
        "The shop's own costs.",
        example={"labour_per_hour": 95, "callback": 120, "parts": {"bake_igniter": 48}},
    )
    visit = Item(
        VisitSchema,
        "What the visit brings along.",
        example={"tools": ["multimeter", "clamp_meter"], "parts_on_hand": ["bake_igniter"]},
    )
    effort = Choice(
        "How far to go: `none` for readings, faults and evidence; `quick` for the next step as well (the default); "
        "`thorough` for a plan that looks further ahead and takes longer.",
        get_args(records.Effort),
        example="quick",
    )
    day = Day("The day on which its readings were taken; a correction of a meter may hold for some days only.",
              example="2026-08-28")  # fmt: skip
