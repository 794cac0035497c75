"""Whether a family's model holds together: every reference, range and rule, all broken ones named at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from itertools import chain

from probewright.errors import Broken, PackModelError
from probewright.packs.check.circuits import check_circuits
from probewright.packs.check.closings import check_closings
from probewright.packs.check.forms import check_forms
from probewright.packs.check.names import Names, Report
from probewright.packs.check.questions import check_questions
from probewright.packs.check.tests import check_requirement, check_tests
from probewright.packs.model import Complaint, Family, Fault, Function, Interlock, Option, Repair, Supply

RESERVED_FAULTS = ("no_fault", "unknown")  # hypotheses that answers name beside the faults
_CLOSE = 1e-9
#: Verdicts of a number that may clear a hazard: that it is right, or that it was read at all, and read clearly.
_CLEARING = ("within", "outside")


def check_family(family: Family) -> None:
    """Check a family.

    Raises
    ------
    PackModelError
        When anything is broken; the message names each record and the rule that it breaks.
    """
    broken = broken_rules(family)
    if broken:
        raise PackModelError(f"family {family.id!r}: " + "; ".join(broken), broken)


def broken_rules(family: Family) -> tuple[Broken, ...]:
    """Everything that is broken in a family, each as record and rule; empty when it holds together."""
    report = Report()
    check_forms(family, report)
    if not report.broken:  # the rest relies on the records' types
        _check_records(family, report)
    return tuple(report.broken)


def _check_records(family: Family, report: Report) -> None:
    names = Names.of(family)
    _check_ids(family, report)
    _check_family_itself(family, report, names)
    for index, option in enumerate(family.options):
        _check_option(option, family.options[:index], report, names)
    _check_states_and_zones(family, report)
    check_circuits(family, report, names)
    for function in family.functions:
        _check_function(function, report, names)
    for complaint in family.complaints:
        _check_complaint(complaint, family, report, names)
    check_tests(family, report, names)
    for fault in family.faults:
        _check_fault(fault, family, report, names)
    for repair in family.repairs:
        _check_repair(repair, report, names)
    for interlock in family.interlocks:
        _check_interlock(interlock, report, names)
    _check_list("checklist", "test", family.checklist, names.tests, report)
    _check_list("van", "part", family.van or (), names.parts, report)
    check_closings(family, report, names)
    check_questions(family, report, names)


def _check_ids(family: Family, report: Report) -> None:
    kinds = {
        "option": family.options,
        "state": family.states,
        "zone": family.zones,
        "circuit": family.circuits,
        "function": family.functions,
        "complaint": family.complaints,
        "test": family.tests,
        "fault": family.faults,
        "part": family.parts,
        "repair": family.repairs,
        "interlock": family.interlocks,
        "closing check": family.closings,
        "question": family.questions,
    }
    report.snake_case("family", family.id)
    for kind, records in kinds.items():
        report.unique(kind, [record.id for record in records])  # type: ignore[attr-defined]  # all of them have one
    for option in family.options:
        report.unique(f"option {option.id}: value", [value.id for value in option.values])
    for question in family.questions:
        report.unique(f"question {question.id}: answer", [answer.id for answer in question.answers])
    for required in ("state", "zone", "test", "fault"):
        if not kinds[required]:
            report.say("family", f"needs at least one {required}")


def _check_family_itself(family: Family, report: Report, names: Names) -> None:
    for what in ("title", "version", "notice"):
        if not getattr(family, what).strip():
            report.say("family", f"{what} is empty")
    if family.supply.nominal <= 0:
        report.say("supply", "the nominal voltage must be positive", "number_out_of_range")
    _check_supply(family.supply, report)
    _check_taps(family.supply, report, names)
    report.chance("family", "unknown_rate", family.unknown_rate, strictly=True)
    for what in ("labour_per_hour", "callback", "verification_minutes", "return_visit"):
        report.not_negative("costs", what, getattr(family.costs, what))
    for part in family.parts:
        report.not_negative(f"part {part.id}", "price", part.price)


def _check_supply(supply: Supply, report: Report) -> None:
    """The voltages under which an appliance works hold the nominal one, and the usual one as a rule."""
    least, most = supply.least, supply.most
    if least is not None and not 0 <= least <= supply.nominal:
        report.say("supply", f"least ({float(least)!r}) must lie from 0 to the nominal {float(supply.nominal)!r}")
    if most is not None and most < supply.nominal:
        report.say("supply", f"most ({float(most)!r}) lies under the nominal {float(supply.nominal)!r}")
    if not supply.is_condition(supply.unmeasured.median):
        report.say("supply", f"an appliance would not work under the usual {supply.unmeasured.median:g}")


def _check_taps(supply: Supply, report: Report, names: Names) -> None:
    for i, tap in enumerate(supply.taps):
        record = f"supply: taps[{i}]"
        names.when(report, record, tap.when)
        if tap.nominal <= 0:
            report.say(record, "the nominal voltage must be positive", "number_out_of_range")
        if not tap.when:
            report.say(record, "needs a condition (when): which builds are fed from it?")


def _check_list(record: str, kind: str, listed: tuple[str, ...], known: Collection[str], report: Report) -> None:
    for name, times in Counter(listed).items():
        report.known(record, kind, name, known)
        if times > 1:
            report.say(record, f"names {kind} {name!r} {times} times")


def _check_option(option: Option, earlier: tuple[Option, ...], report: Report, names: Names) -> None:
    record = f"option {option.id}"
    names.when(report, record, option.when)
    for other in option.when:
        if other in names.options and other not in {o.id for o in earlier}:
            report.say(record, f"its condition names option {other!r}, which must come earlier")
    if not option.values:
        report.say(record, "has no values")
        return
    for value in option.values:
        report.chance(f"{record}: value {value.id}", "share", value.share)
    total = sum(value.share for value in option.values)
    if abs(total - 1) > _CLOSE:
        report.say(record, f"the shares of its values add up to {total:.12g}, not 1", "does_not_add_up")


def _check_states_and_zones(family: Family, report: Report) -> None:
    for state in family.states:
        record = f"state {state.id}"
        report.not_negative(record, "minutes", state.minutes)
        if (state.powered or state.gas_on) and not state.cautions:
            report.say(record, "is powered or has gas on, so it needs cautions", "live_without_cautions")
        if state.risk < 0:
            report.say(record, "risk is negative; the safest state has 0", "number_out_of_range")
    if family.states and all(state.powered or state.gas_on for state in family.states):
        report.say("family", "needs a state without power and gas, to leave an appliance safe in")
    for zone in family.zones:
        report.not_negative(f"zone {zone.id}", "minutes", zone.minutes)


def _check_chances(
    record: str, what: str, chances: Mapping[str, float], report: Report, names: Names
) -> None:
    for fault, chance in chances.items():
        report.known(f"{record}: {what}", "fault", fault, names.faults)
        report.chance(record, f"{what}[{fault!r}]", chance)


def _check_function(function: Function, report: Report, names: Names) -> None:
    record = f"function {function.id}"
    names.when(report, record, function.when)
    _check_chances(record, "fails_with", function.fails_with, report, names)
    if function.fails_anyway is not None:
        report.chance(record, "fails_anyway", function.fails_anyway)
    for requirement in function.requires:
        check_requirement(record, requirement, report, names)
    if not function.requires and not function.fails_with:
        report.say(record, "needs a requirement or a fault that defeats it")


def _check_complaint(complaint: Complaint, family: Family, report: Report, names: Names) -> None:
    record = f"complaint {complaint.id}"
    names.when(report, record, complaint.when)
    report.chance(record, "if_working", complaint.if_working)
    if complaint.function is not None:
        report.known(record, "function", complaint.function, names.functions)
    if (complaint.function is None) != (complaint.if_failed is None):
        report.say(record, "function and if_failed are given together or not at all")
    if complaint.if_failed is not None:
        report.chance(record, "if_failed", complaint.if_failed)
        if complaint.if_failed <= complaint.if_working:
            report.say(record, "if_failed must be greater than if_working, or the complaint speaks for what it denies")
    _check_chances(record, "shown_by", complaint.shown_by, report, names)
    hazardous = any(complaint.id in interlock.complaints for interlock in family.interlocks)
    if complaint.function is None and not complaint.shown_by and not hazardous:
        report.say(record, "says nothing: give a function, faults that show it, or an interlock that it raises")


def _check_fault(fault: Fault, family: Family, report: Report, names: Names) -> None:
    record = f"fault {fault.id}"
    names.when(report, record, fault.when)
    report.chance(record, "rate", fault.rate, strictly=True)
    if fault.id in RESERVED_FAULTS:
        report.say(record, "the id is reserved")
    if fault.part is not None:
        report.known(record, "part", fault.part, names.parts)
    for other in fault.excludes:
        report.known(f"{record}: excludes", "fault", other, names.faults)
        if other == fault.id:
            report.say(record, "excludes itself")
    if not _shows(fault.id, family):
        report.say(record, "changes nothing: no circuit, function, complaint or test depends on it")


def _shows(fault: str, family: Family) -> bool:
    tables = [model for test in family.tests for model in test.models]
    places = chain(
        (circuit.changes for circuit in family.circuits),
        (function.fails_with for function in family.functions),
        (complaint.shown_by for complaint in family.complaints),
        (getattr(model, "by_fault", {}) for model in tables),
    )
    return any(fault in place for place in places)


def _check_repair(repair: Repair, report: Report, names: Names) -> None:
    record = f"repair {repair.id}"
    names.when(report, record, repair.when)
    if not repair.cures:
        report.say(record, "cures nothing")
    _check_chances(record, "cures", repair.cures, report, names)
    report.not_negative(record, "minutes", repair.minutes)
    report.known(record, "state", repair.state, names.states)
    for zone in repair.zones:
        report.known(record, "zone", zone, names.zones)
    if repair.part is not None:
        report.known(record, "part", repair.part, names.parts)
    for check in repair.closing_checks:
        report.known(record, "closing check", check, names.closings)


def _check_interlock(interlock: Interlock, report: Report, names: Names) -> None:
    record = f"interlock {interlock.id}"
    for complaint in interlock.complaints:
        report.known(record, "complaint", complaint, names.complaints)
    _check_outcomes(f"{record}: seen", interlock.seen, report, names)
    _check_outcomes(f"{record}: cleared_by", interlock.cleared_by, report, names, of_measured=_CLEARING)
    for test_id in interlock.above:
        report.known(f"{record}: above", "test", test_id, names.tests)
        test = names.tests.get(test_id)
        if test is not None and test.unit is None:
            report.say(record, f"above: test {test_id!r} reads no number")
    if not (interlock.complaints or interlock.seen or interlock.above):
        report.say(record, "nothing raises it")
    if not interlock.why.strip():
        report.say(record, "why is empty")
    if not (interlock.steps or interlock.cautions):
        report.say(record, "needs steps or cautions: what to do when it holds")


def _check_outcomes(
    record: str, seen: Mapping[str, tuple[str, ...]], report: Report, names: Names, of_measured: tuple[str, ...] = (),
) -> None:  # fmt: skip
    """``of_measured`` are the outcomes that a measured test may have here."""
    for test_id, outcomes in seen.items():
        report.known(record, "test", test_id, names.tests)
        test = names.tests.get(test_id)
        shown = () if test is None else test.outcomes or of_measured
        for outcome in outcomes if test is not None else ():
            report.known(record, f"outcome of test {test_id!r}", outcome, shown)
        if not outcomes:
            report.say(record, f"test {test_id!r} has no outcomes listed")
