"""Which closing checks the repairs done ask for, in which order, and which of them have been shown.

A check is asked for by every repair that names it, whether it helped or not, and falls away where the appliance lacks
its test; where options leave that open, where it more likely lacks it than not.  It is shown by the latest usable
reading of its test that was taken after the last repair that asks for it: ``passed`` when that reading conforms,
``failed`` when it does not, ``open`` when there is none or it decides neither.  A number conforms by the guard rule of
verdicts (:mod:`probewright.quantities.conformity`), to the limits of the check where it has some.

One reading may be misread, so a check that failed once is read again before any work is undone.  And what stays
undecided is not read for ever: after :data:`READ_TWICE` such readings it has passed, for the complaint is gone and
nothing clearly speaks against the work.  Where safety depends on it (``guarded``) it has failed, unless the last one
shows it with :data:`CLEAR_ENOUGH`.  A limit above which a hazard is there has been guarded by its interlock before.

The order is that of putting an appliance back into use, without needless ways: state after state from the safest, in
each first what an interlock looks for (gas, wiring), then as the pack lists the checks.  What may be done in every
state comes last, unless an interlock looks for it: covers go on when nothing is left to do behind them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from probewright.circuit.parts import When
from probewright.inference.prepared import repairs_before
from probewright.inference.supplies import as_condition
from probewright.packs.model import Closing, Family, Limit, Repair, Test
from probewright.planning.ground import Ground
from probewright.planning.standing import again
from probewright.planning.work import anywhere, state_of
from probewright.quantities.conformity import DEFAULT_THRESHOLDS, Thresholds, probability_within, verdict
from probewright_schemas.records import Case, CheckedReading, CheckStatus, ClosingCheck

#: Checks of tests that the appliance more likely lacks than has are not asked for.
_MORE_LIKELY_THAN_NOT: Final = 0.5
#: Readings that leave a check undecided, or speak against it, before that counts.
READ_TWICE: Final = 2
#: What a reading that decides nothing must show with, where safety depends on it.
CLEAR_ENOUGH: Final = 0.8
FAILED_ONCE: Final = "it failed, and one reading may be misread"


@dataclass(frozen=True, slots=True)
class Proof:
    """A closing check, the test that shows it, the last repair that asks for it, and whether it was shown since.

    ``status`` is None where no test shows the check.  ``again`` says why it is to be read again, if it has been read
    and that can be put right; ``sure`` is False when it failed once only, and ``times`` how often it was read since.
    """

    closing: Closing
    test: Test | None
    repair: Repair
    status: CheckStatus | None
    again: str | None = None
    sure: bool = True
    times: int = 0

    @property
    def record(self) -> ClosingCheck:
        """As an answer tells it."""
        return ClosingCheck(self.closing.id, self.closing.text, self.closing.test, self.status)


@dataclass(frozen=True, slots=True)
class ClosingState:
    """The closing checks of the repairs done, in the order to do them."""

    proofs: tuple[Proof, ...] = ()

    @property
    def open(self) -> tuple[Proof, ...]:
        """What is still to be shown."""
        return tuple(proof for proof in self.proofs if proof.status == "open")

    @property
    def failed(self) -> tuple[Proof, ...]:
        """What a reading since the repair speaks against."""
        return tuple(proof for proof in self.proofs if proof.status == "failed")

    @property
    def passed(self) -> bool:
        """Whether nothing is open or failed."""
        return not self.open and not self.failed

    @property
    def records(self) -> tuple[ClosingCheck, ...]:
        """As an answer tells them."""
        return tuple(proof.record for proof in self.proofs)


def closing_state(
    family: Family, case: Case, checked_readings: Sequence[CheckedReading], thresholds: Thresholds = DEFAULT_THRESHOLDS,
) -> ClosingState:  # fmt: skip
    """The closing checks of a case's repairs, and which of them have been shown.

    Parameters
    ----------
    family : Family
    case : Case
        With known ids.
    checked_readings : sequence of CheckedReading
        One for each reading of the case, in its order, in the tests' own units.
    thresholds : Thresholds
        When a number conforms.
    """
    if not case.repairs_done:
        return ClosingState()
    repairs = {repair.id: repair for repair in family.repairs}
    tests = {test.id: test for test in family.tests}
    asked: dict[str, int] = {}
    for made, done in enumerate(case.repairs_done, start=1):
        asked |= dict.fromkeys(repairs[done.repair].closing_checks, made)
    judge = _Judge(family, case, checked_readings, thresholds)
    proofs = []
    for closing in family.closings:
        if closing.id not in asked:
            continue
        made, test = asked[closing.id], None if closing.test is None else tests[closing.test]
        repair = repairs[case.repairs_done[made - 1].repair]
        if test is None:
            proofs.append(Proof(closing, None, repair, None))
        elif likely(family, case, test.when):
            proofs.append(judge.proof(closing, test, repair, made))
    return ClosingState(_ordered(family, proofs))


def foreseen(family: Family, case: Case, state: ClosingState, repair: Repair) -> tuple[ClosingCheck, ...]:
    """The closing checks when one more repair is made, in the order to do them; of its own nothing is told yet."""
    kept = [proof for proof in state.proofs if proof.closing.id not in repair.closing_checks]
    tests = {test.id: test for test in family.tests}
    for closing in family.closings:
        test = None if closing.test is None else tests.get(closing.test)
        if closing.id in repair.closing_checks and (test is None or likely(family, case, test.when)):
            kept.append(Proof(closing, test, repair, None))
    place = {closing.id: i for i, closing in enumerate(family.closings)}
    kept.sort(key=lambda proof: place[proof.closing.id])
    return tuple(proof.record for proof in _ordered(family, kept))


def likely(family: Family, case: Case, when: When) -> bool:
    """Whether the appliance of a case is more likely than not of the builds that a condition names."""
    options = {option.id: option for option in family.options}

    def chance(condition: When) -> float:
        found = 1.0
        for name, allowed in condition.items():
            values = (allowed,) if isinstance(allowed, str) else allowed
            if name in case.options:
                found *= float(case.options[name] in values)
            else:
                own = options[name]
                found *= sum(float(value.share) for value in own.values if value.id in values) * chance(own.when)
        return found

    return chance(when) >= _MORE_LIKELY_THAN_NOT


@dataclass(frozen=True, slots=True)
class _Judge:
    """What the readings of a case show of closing checks."""

    family: Family
    case: Case
    checked: Sequence[CheckedReading]
    thresholds: Thresholds

    def proof(self, closing: Closing, test: Test, repair: Repair, made: int) -> Proof:
        """A check by what was read since so many repairs."""
        since = self._since(test, made)
        if not since:
            return Proof(closing, test, repair, "open")
        statuses = [self._status(closing, test, reading) for reading in since]
        status, latest = statuses[-1], since[-1]
        times = len(since)
        if status == "open" and statuses.count("open") >= READ_TWICE:
            doubtful = self._guarded(closing, test) and self._chance(closing, test, latest) < CLEAR_ENOUGH
            return Proof(closing, test, repair, "failed" if doubtful else "passed", times=times)
        if status == "failed" and statuses.count("failed") < READ_TWICE:
            return Proof(closing, test, repair, status, FAILED_ONCE, sure=False, times=times)
        return Proof(closing, test, repair, status, again(latest) if status == "open" else None, times=times)

    def _guarded(self, closing: Closing, test: Test) -> bool:
        return closing.guarded or any(test.id in (*lock.seen, *lock.cleared_by) for lock in self.family.interlocks)

    def _chance(self, closing: Closing, test: Test, reading: CheckedReading) -> float:
        """Probability that a reading shows a check."""
        limit = self._limit(closing, test)
        if limit is not None:
            return self._within(reading, limit)
        return 0.0 if reading.probability_within is None else reading.probability_within

    def _since(self, test: Test, made: int) -> list[CheckedReading]:
        """The usable readings of a test since so many repairs, the latest last."""
        found = [
            (repairs_before(self.case, reading), i, one)
            for i, (reading, one) in enumerate(zip(self.case.readings, self.checked, strict=True))
            if one.test == test.id and one.verdict != "rejected"
        ]
        since = [entry for entry in found if entry[0] >= made]
        return [one for _, _, one in sorted(since, key=lambda entry: entry[:2])]

    def _status(self, closing: Closing, test: Test, reading: CheckedReading) -> CheckStatus:
        """Whether a reading shows a check."""
        if test.outcomes:
            return "passed" if reading.seen in (closing.passes or test.outcomes[:1]) else "failed"
        limit = self._limit(closing, test)
        decided = reading.verdict
        if limit is not None:
            decided = verdict(self._within(reading, limit), self.thresholds)
        told: Mapping[str, CheckStatus] = {"within": "passed", "outside": "failed"}
        return told.get(decided, "open")

    def _limit(self, closing: Closing, test: Test) -> Limit | None:
        """The check's own limit; the maker's technical sheet comes before it, as it does for verdicts."""
        if test.id in self.case.tech_sheet:
            return None
        return next((limit for limit in closing.limits if likely(self.family, self.case, limit.when)), None)

    def _within(self, reading: CheckedReading, limit: Limit) -> float:
        """Probability that what was read keeps within a limit."""
        scale = self._supply_scale(reading) if limit.scales_with_supply else 1.0
        low = None if limit.low is None else float(limit.low) * scale
        high = None if limit.high is None else float(limit.high) * scale
        if reading.value is not None:
            return probability_within(reading.value, reading.standard_uncertainty or 0.0, low, high)
        return float(high is None) if reading.over_range else float(low is None or low <= 0)

    def _supply_scale(self, reading: CheckedReading) -> float:
        conditions = {} if reading.expected is None else reading.expected.conditions
        used = conditions.get("supply_voltage")
        if used is None:
            return 1.0
        supply = self.family.supply
        on_scale = as_condition(used.value, supply, self.case.options)
        return 1.0 if on_scale is None else on_scale / float(supply.nominal)


def _ordered(family: Family, proofs: Sequence[Proof]) -> tuple[Proof, ...]:
    ground = Ground.of(family)
    hazards = {test for lock in family.interlocks for test in (*lock.seen, *lock.cleared_by)}

    def key(proof: Proof) -> tuple[int, int, bool]:
        test = proof.test
        if test is None:
            return 2, 0, False
        hazard, everywhere = test.id in hazards, anywhere(test, ground)
        place = ground.running if everywhere else state_of(test, ground)
        risk = ground.states[ground.running if place is None else place].risk
        return int(everywhere and not hazard), risk, not hazard

    return tuple(sorted(proofs, key=key))  # stable: in the order of the pack otherwise
