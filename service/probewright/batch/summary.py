"""What a re-evaluation comes to: counts that are small, can be merged in any order, and written down and read again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, get_args

from probewright.batch.counts import Counts, Strongest
from probewright_schemas.batch_records import Change, ChangeKind, Held, Reevaluation, Status
from probewright_schemas.records import PackIdentity

#: The version of what :meth:`Tally.to_json` gives.
FORMAT: Final = 1
STATUSES: Final[tuple[str, ...]] = get_args(Status)
KINDS: Final[tuple[str, ...]] = get_args(ChangeKind)
#: Probabilities are counted in this many steps of equal width, and shifts in that many.
STEPS: Final = 20
SHIFT_STEPS: Final = 100
#: How many keys of each table are kept.  Faults and packs of earlier answers are whatever a caller wrote there.
_LIMITS: Final = {
    "families": 1000, "packs": 1000, "flows": 10_000, "tests": 5000, "meters": 2000, "probabilities": 2 * STEPS**2,
    "shifts": SHIFT_STEPS, "problems": 200,
}  # fmt: skip
#: Jobs to look at, in all and of each kind of change; and letters of a sentence that are kept.
_MOST_JOBS: Final = 20
_LONGEST: Final = 500
_ALL, _NOTED = "all", "noted"


class Tally:
    """What became of many stored cases.

    Its size has a bound, whatever the number of cases.  Tallies of parts may be merged in any order and grouping, and
    come to the same.
    """

    __slots__ = ("_counts", "_strongest", "answered", "refused")

    def __init__(self) -> None:
        self.answered = 0
        self.refused = 0
        self._counts = {name: Counts(most) for name, most in _LIMITS.items()}
        self._strongest = {name: Strongest(_MOST_JOBS) for name in (_ALL, *KINDS, _NOTED)}

    def add(self, result: Reevaluation, line: int = 0, earlier: PackIdentity | None = None) -> None:
        """Count a result.

        Parameters
        ----------
        result : Reevaluation
        line : int
            The line that it answers; among equally strong changes those of the first lines are told.
        earlier : PackIdentity, optional
            The model that gave the earlier answer.
        """
        self.answered += 1
        kinds = sorted({change.kind for change in result.changes})
        sorts = (result.status, *kinds)
        for sort in (*sorts, *((_NOTED,) if result.notes else ())):
            self._counts["families"].add((result.family,), sort)
        self._count_packs(result.pack, earlier)
        self._count_readings(result, sorts)
        if result.before is not None:
            self._count_held(result, result.before)
        self._take_strongest(result, line)

    def refuse(self, code: str = "") -> None:
        """Count a line that got a problem in the place of a result, and its code."""
        self.refused += 1
        self._counts["problems"].add((code,), "lines")

    def merge(self, other: Tally) -> None:
        """Add what was counted elsewhere."""
        self.answered += other.answered
        self.refused += other.refused
        for name, counts in self._counts.items():
            counts.merge(other._counts[name])
        for name, strongest in self._strongest.items():
            strongest.merge(other._strongest[name])

    def document(self) -> dict[str, Any]:
        """The summary of a stream: how many there were, and what became of them."""
        totals = self._counts["families"].totals()
        packs = self._counts["packs"].by_key().items()
        return {
            "lines": self.answered + self.refused,
            "answered": self.answered,
            "refused": self.refused,
            "packs": [dict(zip(("family", "version", "digest"), key, strict=True)) for key, n in packs if "now" in n],
            "by_status": {status: totals[status] for status in STATUSES if status in totals},
            "by_change": {kind: totals[kind] for kind in KINDS if kind in totals},
        }

    def to_json(self) -> dict[str, Any]:
        """Everything, in plain types; equal tallies give equal documents."""
        return {
            "format": FORMAT,
            "answered": self.answered,
            "refused": self.refused,
            **{name: counts.to_json() for name, counts in self._counts.items()},
            "strongest": {name: strongest.to_json() for name, strongest in self._strongest.items()},
        }

    @classmethod
    def from_json(cls, told: Mapping[str, Any]) -> Tally:
        """The tally of which :meth:`to_json` gave this.

        Raises
        ------
        ValueError
            When another version wrote it.
        """
        if told["format"] != FORMAT:
            raise ValueError(f"a tally of format {told['format']}, not {FORMAT}")
        tally = cls()
        tally.answered, tally.refused = told["answered"], told["refused"]
        for name, counts in tally._counts.items():
            counts.load(told[name])
        for name, strongest in tally._strongest.items():
            strongest.load(told["strongest"][name])
        return tally

    def _count_packs(self, now: PackIdentity, earlier: PackIdentity | None) -> None:
        packs = self._counts["packs"]
        packs.add((now.family, now.version, now.digest), "now")
        if earlier is not None:
            packs.add((earlier.family, earlier.version, earlier.digest), "earlier")

    def _count_readings(self, result: Reevaluation, sorts: tuple[str, ...]) -> None:
        """Corrected readings by meter and by test, with what became of their cases; and changed verdicts by test."""
        tests, meters = self._counts["tests"], self._counts["meters"]
        for corrected in result.corrected:
            tests.add((result.family, corrected.test), "corrected")
            meters.add((corrected.meter,), "readings")
        for meter in {corrected.meter for corrected in result.corrected}:
            for sort in ("cases", *sorts):
                meters.add((meter,), sort)
        for change in result.changes:
            if change.kind == "verdict" and change.of is not None:
                tests.add((result.family, change.of), f"{change.before}>{change.after}")

    def _count_held(self, result: Reevaluation, before: Held) -> None:
        after = result.after
        sort = "stays" if before.fault == after.fault else "differs"
        self._counts["flows"].add((result.family, before.fault, after.fault), sort)
        steps = (_step(before.probability, STEPS), _step(after.probability, STEPS))
        self._counts["probabilities"].add(steps, sort)
        if result.shift is not None:
            self._counts["shifts"].add((_step(result.shift, SHIFT_STEPS),), result.status)

    def _take_strongest(self, result: Reevaluation, line: int) -> None:
        shift = result.shift or 0.0
        if result.changes:
            self._take(_ALL, shift, line, result, result.changes[0])
        told: set[str] = set()
        for change in result.changes:
            # A case is told once for each kind; the gravest change comes first.
            if change.kind not in told:
                told.add(change.kind)
                self._take(change.kind, _strength(change, shift), line, result, change)
        if result.notes:
            self._take(_NOTED, shift, line, result, None)

    def _take(self, name: str, strength: float, line: int, result: Reevaluation, change: Change | None) -> None:
        if self._strongest[name].wants(strength, line):
            self._strongest[name].add(strength, line, _entry(result, line, change))


def _step(share: float, steps: int) -> str:
    """The step that a share falls into, written so that steps sort as text."""
    return f"{min(steps - 1, max(0, int(share * steps))):02d}"


def _strength(change: Change, shift: float) -> float:
    """How strong a change is: by its own probabilities where these are of one thing, else by the shift of its case."""
    before, after = change.probability_before, change.probability_after
    if change.kind in ("verdict", "swapped_part_good") and before is not None and after is not None:
        return abs(after - before)
    return shift


def _entry(result: Reevaluation, line: int, change: Change | None) -> dict[str, Any]:
    """What is told of a job that is to be looked at."""
    return {
        "line": line,
        "reference": result.reference,
        "family": result.family,
        "why": result.why[:_LONGEST],
        "note": result.notes[0][:_LONGEST] if result.notes else None,
        "shift": result.shift,
        "held_before": None if result.before is None else [result.before.fault, result.before.probability],
        "held_after": [result.after.fault, result.after.probability],
        "of": None if change is None else change.of,
        "before": None if change is None else change.before,
        "after": None if change is None else change.after,
        "probability_before": None if change is None else change.probability_before,
        "probability_after": None if change is None else change.probability_after,
    }
