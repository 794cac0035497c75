"""The table of cases: one row a reading, one row a complaint, and one for each other thing that a case has."""

from __future__ import annotations

from typing import Final

from probewright.batch.files.tables import EMPTY, CellKind, Column, Path, RowKind, Table

_CONDITIONS = ("ambient", "supply_voltage", "set_point")
_METER_NUMBERS = ("percent_of_reading", "counts")
_METER_QUANTITIES = (
    "resolution", "lead_resistance", "input_impedance", "beeper_threshold", "maximum_resistance",
)  # fmt: skip
_METER_WORDS = ("kind", "input", "sensing")
_READING = ("test", "value", "values", "unit", "over_range", "under_range", "seen", "state", "meter", "after_repair",
            "day")  # fmt: skip
_CORRECTION_NUMBERS = ("gain", "gain_uncertainty", "correlation")
_CORRECTION_QUANTITIES = ("offset", "offset_uncertainty", "at")
_COSTS = ("labour_per_hour", "callback", "return_visit")
_VISIT = ("tools", "skills", "parts_on_hand")


def _same(*names: str, inside: Path = ()) -> dict[str, Path]:
    """Columns that are called as the members that they hold."""
    return {name: (*inside, name) for name in names}


def _quantities(*names: str, inside: Path = ()) -> dict[str, Path]:
    """Two columns for each quantity: its number, and its unit."""
    return {
        column: (*inside, name, part)
        for name in names
        for column, part in ((name, "value"), (f"{name}_unit", "unit"))
    }


KINDS: Final = (
    RowKind("case", "what holds for the whole case; may be left out", ("case",), "object",
            _same("day", "effort") | _quantities(*_CONDITIONS, inside=("conditions",)), always=True),
    RowKind("option", "how the appliance is built", ("case", "options"), "members", {"choice": ()}, key="option"),
    RowKind("complaint", "what the customer says is wrong", ("case", "complaints"), "items", {"complaint": ()}),
    RowKind("working", "a function that was confirmed to work", ("case", "working"), "items", {"working": ()}),
    RowKind("meter", "an instrument; readings name it in `meter`", ("case", "meters"), "members",
            {"meter_id": ("id",)} | _same(*_METER_WORDS, *_METER_NUMBERS, "leads_zeroed")
            | _quantities(*_METER_QUANTITIES), key="meter"),
    RowKind("limits", "limits of a test from the technical sheet", ("case", "tech_sheet"), "members",
            _same("low", "high", "unit"), key="test"),
    RowKind("reading", "what was measured or seen, in the order it was", ("case", "readings"), "items",
            _same(*_READING) | _quantities(*_CONDITIONS, inside=("conditions",))
            | _same(*_CORRECTION_NUMBERS, inside=("correction",))
            | _quantities(*_CORRECTION_QUANTITIES, inside=("correction",)), empty=("conditions", "correction")),
    RowKind("repair_done", "a repair already made, in the order they were", ("case", "repairs_done"), "items",
            _same("repair", "complaint_remains")),
    RowKind("costs", "the shop's own costs", ("case", "costs"), "object", _same(*_COSTS)),
    RowKind("price", "the price of a part", ("case", "costs", "parts"), "members", {"price": ()}, key="part"),
    RowKind("visit", "what the visit brings along", ("case", "visit"), "object", _same(*_VISIT)),
    RowKind("answer", "the earlier answer", ("answer",), "object",
            {f"pack_{name}": ("pack", name) for name in ("family", "version", "digest")}
            | {f"next_{name}": ("next", name) for name in ("kind", "id")}
            | _same("unexplained", "no_fault", "computation"), always=True, beside={("next", "id"): ""}),
    RowKind("answer_reading", "the earlier verdict of a reading, in the order of the readings", ("answer", "readings"),
            "items", _same("test", "verdict", "probability_within")),
    RowKind("answer_fault", "how likely a fault was held, likeliest first", ("answer", "faults"), "items",
            _same("fault", "probability")),
    RowKind("other", "any other member of the stored job", ("other",), "members", {"json": ()}, key="member"),
)  # fmt: skip


def _with_unit(name: str, about: str) -> tuple[Column, Column]:
    return Column(name, "number", about), Column(f"{name}_unit", "text", f"unit of `{name}`")


def _columns(cells: CellKind, /, **about: str) -> tuple[Column, ...]:
    return tuple(Column(name, cells, said) for name, said in about.items())


COLUMNS: Final = (
    Column("job", "whole", "number of the case, rising; may be left out where references tell cases apart"),
    Column("reference", "text", "the shop's own name for the job; the rows of a case stand together"),
    Column("family", "text", "the appliance family; on one row of the case at least"),
    Column("row", "text", "what the row is"),
    Column("day", "day", "day of the case, or of the reading where that is another"),
    Column("effort", "text", "how far to go"),
    *_with_unit("ambient", "temperature at the part being read, of the case or of one reading"),
    *_with_unit("supply_voltage", "supply voltage at the appliance, of the case or of one reading"),
    *_with_unit("set_point", "what the control was set to, of the case or of one reading"),
    *_columns("text", option="an option", choice="its value", complaint="a complaint", working="a function",
              meter="an instrument's name in this case", meter_id="the shop's number of this very instrument",
              kind="kind of instrument"),
    *_columns("number", percent_of_reading="accuracy: share of the reading, %", counts="accuracy: last digits"),
    *_with_unit("resolution", "one step of the display"),
    *_with_unit("lead_resistance", "resistance of both test leads"),
    *_columns("flag", leads_zeroed="whether it was nulled"),
    *_columns("text", input="`high_impedance` or `low_impedance`"),
    *_with_unit("input_impedance", "impedance of the voltage input"),
    *_columns("text", sensing="`true_rms` or `average`"),
    *_with_unit("beeper_threshold", "resistance under which the beeper sounds"),
    *_with_unit("maximum_resistance", "largest resistance before over-range"),
    *_columns("text", test="a test"),
    *_columns("number", value="what the meter showed"),
    *_columns("numbers", values="repeated readings of the same thing"),
    *_columns("text", unit="unit of `value`, `values`, `low` and `high`"),
    *_columns("flag", over_range="the display showed over-range", under_range="it showed under-range"),
    *_columns("text", seen="what was seen", state="the state it was taken in",
              after_repair="the repair after which it was taken"),
    *_columns("number", gain="correction: factor", gain_uncertainty="its standard uncertainty"),
    *_with_unit("offset", "correction: what is added"),
    *_with_unit("offset_uncertainty", "its standard uncertainty"),
    *_with_unit("at", "correction: the reading at which the offset alone is the correction"),
    *_columns("number", correlation="correction: correlation of factor and offset"),
    Column(EMPTY, "texts", "`conditions` or `correction` where the reading has one with nothing in it"),
    *_columns("number", low="lowest sound value", high="highest sound value"),
    *_columns("text", repair="a repair"),
    *_columns("flag", complaint_remains="whether the complaint was still there after it"),
    *_columns("number", labour_per_hour="labour", callback="coming back", return_visit="a second trip"),
    *_columns("text", part="a part"),
    *_columns("number", price="its price"),
    *_columns("texts", tools="instruments at hand", skills="skills and licences", parts_on_hand="parts at hand"),
    *_columns("text", pack_family="family of the pack that answered", pack_version="its version",
              pack_digest="its digest", next_kind="kind of the step that was advised", next_id="the step",
              computation="digest of everything that the answer depended on"),
    *_columns("number", unexplained="probability of something unknown", no_fault="probability of nothing wrong"),
    *_columns("text", verdict="verdict of the reading"),
    *_columns("number", probability_within="probability that its true value lay in the band"),
    *_columns("text", fault="a fault"),
    *_columns("number", probability="its probability"),
    *_columns("text", member="name of another member of the stored job", json="the member, as JSON"),
)  # fmt: skip

CASES: Final = Table("cases", COLUMNS, KINDS, ("job", "reference", "family", "row"))
