"""Rules of closing checks and of the tests that exist for them alone."""

from __future__ import annotations

from probewright.packs.check.names import Names, Report
from probewright.packs.check.tests import check_limit
from probewright.packs.model import Closing, Family


def check_closings(family: Family, report: Report, names: Names) -> None:
    """Check every closing check, and that every test that only proves repairs is named by one."""
    for closing in family.closings:
        _check_closing(closing, report, names)
    named = {closing.test for closing in family.closings}
    for test in family.tests:
        if test.closing and test.id not in named:
            report.say(f"test {test.id}", "only proves repairs, but no closing check names it")


def _check_closing(closing: Closing, report: Report, names: Names) -> None:
    record = f"closing check {closing.id}"
    if closing.test is None:
        if closing.limits or closing.passes:
            report.say(record, "has limits or outcomes that pass, but no test to show them")
        return
    if not report.known(record, "test", closing.test, names.tests):
        return
    test = names.tests[closing.test]
    for limit in closing.limits:
        check_limit(record, test, limit, report, names)
    for outcome in closing.passes:
        report.known(f"{record}: passes", f"outcome of test {test.id!r}", outcome, test.outcomes)
    if test.outcomes and set(closing.passes) >= set(test.outcomes):
        report.say(record, f"passes whatever test {test.id!r} shows")
