"""Rules of tests, their models, and requirements."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from probewright.packs.check.names import Names, Report
from probewright.packs.model import (
    DEAD_KINDS,
    LIVE_KINDS,
    Between,
    Family,
    Limit,
    Model,
    Requirement,
    Shows,
    Stated,
    Table,
    Test,
    TestKind,
    Through,
)
from probewright.quantities.units import UnitError, dimension_of_kind, display_units, unit_of

CONDITIONS = ("ambient", "supply_voltage", "set_point")
_SEEN_KINDS = ("seen", "continuity")
_CLOSE = 1e-9

_MODELS_OF: Mapping[type[object], tuple[str, ...]] = {
    Between: ("voltage", "resistance", "continuity", "capacitance"),
    Through: ("current",),
    Shows: ("seen",),
    Table: ("seen", "continuity"),
    Stated: tuple(kind for kind in get_args(TestKind) if kind not in _SEEN_KINDS),
}


def check_tests(family: Family, report: Report, names: Names) -> None:
    """Check every test."""
    for test in family.tests:
        record = f"test {test.id}"
        if test.kind not in get_args(TestKind):
            report.say(record, f"kind {test.kind!r} is none of {', '.join(get_args(TestKind))}")
            continue
        names.when(report, record, test.when)
        report.known(record, "zone", test.zone, names.zones)
        report.known(record, "command", test.command, names.commands)
        report.not_negative(record, "minutes", test.minutes)
        _check_unit_and_outcomes(record, test, report)
        _check_states(record, test, report, names)
        _check_conditions(record, test, report)
        for limit in test.limits:
            check_limit(record, test, limit, report, names)
        if not test.models:
            report.say(record, "has no model of what it should give")
        for index, model in enumerate(test.models):
            _check_model(f"{record}: models[{index}]", test, model, report, names)


def _check_unit_and_outcomes(record: str, test: Test, report: Report) -> None:
    if test.kind in _SEEN_KINDS:
        if test.unit is not None:
            report.say(record, f"a test of kind {test.kind} has no unit")
        if len(test.outcomes) < 2:
            report.say(record, "needs at least two outcomes, the healthy one first")
        report.unique(f"{record}: outcome", list(test.outcomes))
        return
    if test.outcomes:
        report.say(record, f"a test of kind {test.kind} has no outcomes")
    if test.unit is None:
        report.say(record, f"needs a unit, one of: {', '.join(display_units(dimension_of_kind(test.kind)))}")
        return
    try:
        unit_of(test.unit, dimension_of_kind(test.kind))
    except UnitError as error:
        report.say(record, f"unit: {error}", "wrong_unit")


def _check_states(record: str, test: Test, report: Report, names: Names) -> None:
    if not test.states:
        report.say(record, "needs at least one state, the recommended one first")
    states = [names.states[s] for s in test.states if report.known(record, "state", s, names.states)]
    powered = [state.id for state in states if state.powered]
    if powered and test.kind in DEAD_KINDS:
        report.say(record, f"a {test.kind} test is never done under power, as in {', '.join(map(repr, powered))}")
    if powered and test.kind in LIVE_KINDS and not test.cautions:
        report.say(record, "is done under power, so it needs cautions", "live_without_cautions")


def _check_conditions(record: str, test: Test, report: Report) -> None:
    for need in test.needs:
        report.known(record, "condition", need, CONDITIONS)
    if test.measures is not None and (test.measures != "supply_voltage" or test.kind != "voltage"):
        report.say(record, "measures may only be 'supply_voltage', by a test of kind voltage")


def check_limit(record: str, test: Test, limit: Limit, report: Report, names: Names) -> None:
    """Check one of the limits of a test, or of a closing check that is shown by it."""
    record = f"{record}: limit"
    names.when(report, record, limit.when)
    if test.kind in _SEEN_KINDS:
        report.say(record, f"a test of kind {test.kind} has no limits")
    if limit.low is None and limit.high is None:
        report.say(record, "has neither low nor high")
    if limit.low is not None and limit.high is not None and limit.low > limit.high:
        report.say(record, f"low ({float(limit.low)!r}) is above high ({float(limit.high)!r})")


def _check_model(record: str, test: Test, model: Model, report: Report, names: Names) -> None:
    names.when(report, record, model.when)
    allowed = _MODELS_OF[type(model)]
    if test.kind not in allowed:
        report.say(record, f"{type(model).__name__} models tests of kind {', '.join(allowed)}, not {test.kind}")
    if isinstance(model, Between):
        _check_between(record, test, model, report, names)
    elif isinstance(model, Through):
        _check_part_of(record, model.circuit, model.part, report, names)
    elif isinstance(model, Shows):
        _check_shows(record, test, model, report, names)
    elif isinstance(model, Stated):
        _check_stated(record, test, model, report, names)
    else:
        _check_table(record, test, model, report, names)


def _check_between(record: str, test: Test, model: Between, report: Report, names: Names) -> None:
    if test.kind == "continuity" and sorted(test.outcomes) != ["closed", "open"]:
        told = "a beeper between two nodes tells two outcomes, 'closed' and 'open', the healthy one first"
        report.say(record, f"{told}; not {', '.join(map(repr, test.outcomes))}")
    if not report.known(record, "circuit", model.circuit, names.circuits):
        return
    inside = names.circuits[model.circuit]
    for node in (model.plus, model.minus):
        report.known(record, f"node of circuit {model.circuit!r}", node, inside.nodes)
    if model.plus == model.minus:
        report.say(record, "both probes are on one node")
    for part in model.apart:
        report.known(f"{record}: apart", f"part of circuit {model.circuit!r}", part, inside.all_parts)


def _check_part_of(record: str, circuit: str, part: str, report: Report, names: Names) -> None:
    if report.known(record, "circuit", circuit, names.circuits):
        report.known(record, f"part of circuit {circuit!r}", part, names.circuits[circuit].all_parts)


def _check_shows(record: str, test: Test, model: Shows, report: Report, names: Names) -> None:
    _check_part_of(record, model.circuit, model.of, report, names)
    if len(model.outcomes) != len(model.edges) + 1:
        report.say(record, f"{len(model.edges)} edges part {len(model.edges) + 1} outcomes, not {len(model.outcomes)}")
    for outcome in model.outcomes:
        report.known(record, "outcome", outcome, test.outcomes)
    left = [outcome for outcome in test.outcomes if outcome not in model.outcomes]
    if left:
        report.say(record, f"no band shows {', '.join(map(repr, left))}: each outcome of the test has one")
    if len(set(model.outcomes)) < len(model.outcomes):
        report.say(record, "one outcome has two bands")
    medians = [edge.median for edge in model.edges]
    if medians != sorted(medians):
        report.say(record, "edges must rise")


def _check_stated(record: str, test: Test, model: Stated, report: Report, names: Names) -> None:
    for fault in model.by_fault:
        report.known(f"{record}: by_fault", "fault", fault, names.faults)
    if model.relative_to == "set_point" and "set_point" not in test.needs:
        report.say(record, "is relative to set_point, so the test must need it")
    if model.relative_to is not None and test.kind != "temperature":
        report.say(record, f"relative_to {model.relative_to!r} is for temperatures")


def _check_table(record: str, test: Test, model: Table, report: Report, names: Names) -> None:
    rows = {"healthy": model.healthy} | {f"by_fault[{f!r}]": row for f, row in model.by_fault.items()}
    for fault in model.by_fault:
        report.known(f"{record}: by_fault", "fault", fault, names.faults)
    for name, row in rows.items():
        for outcome, chance in row.items():
            report.known(f"{record}: {name}", "outcome", outcome, test.outcomes)
            report.chance(f"{record}: {name}", outcome, chance)
        total = sum(row.values())
        if abs(total - 1) > _CLOSE:
            report.say(f"{record}: {name}", f"the probabilities add up to {total:.12g}, not 1", "does_not_add_up")
    for requirement, outcome in model.without:
        check_requirement(f"{record}: without", requirement, report, names)
        report.known(f"{record}: without", "outcome", outcome, test.outcomes)


def check_requirement(record: str, requirement: Requirement, report: Report, names: Names) -> None:
    """Check a circuit value that something needs."""
    record = f"{record}: requirement"
    names.when(report, record, requirement.when)
    _check_part_of(record, requirement.circuit, requirement.of, report, names)
    report.known(record, "command", requirement.command, names.commands)
    if (requirement.at_least is None) is (requirement.at_most is None):
        report.say(record, "needs either at_least or at_most")
    known = report.known(record, "state", requirement.state, names.states)
    if known and not names.states[requirement.state].powered:
        report.say(record, f"state {requirement.state!r} has no power, so it can never be met")
