"""Validation of readings: whether each is usable, whether a healthy appliance reads like that, and what to do.

Codes of findings (stable): ``wrong_state``, ``other_state``, ``not_in_this_build``, ``impossible_value``,
``over_range_meaningless``, ``condition_missing``, ``decade_suspect``, ``fits_nothing``, ``high_impedance_source``,
``repeats_scatter``, ``leads_subtracted``; packs add their own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.numeric import Predicted
from probewright.inference.prepared import Prepared
from probewright.inference.rulers import Band, Ruler, Rulers, rulers_of
from probewright.inference.supplies import told
from probewright.packs.model import DEAD_KINDS, LIVE_KINDS, Family, Supply, Test
from probewright.quantities.conformity import Thresholds, probability_within, verdict
from probewright_schemas.records import CheckedReading, Expected, Finding, Limits, UsedCondition, Verdict

_WORDS = {
    "ambient": "the temperature at the part", "supply_voltage": "the supply voltage", "set_point": "the set point",
}  # fmt: skip
#: A source is too soft to call a wire live or dead when it loses this share of its voltage in the meter.
_SOFT = 0.05
#: Healthy outcomes are those that a healthy appliance shows at least this often.
_USUAL = 0.05
#: Kinds of test whose readings are never less than nothing.
_NEVER_NEGATIVE = frozenset({*DEAD_KINDS, "current", "concentration", "duration"})
#: Answers about what was seen in one test that are kept for one set of builds.
_MOST_SEEN = 256


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Judged:
    """A prepared reading with its verdict; only ``usable`` ones are evidence.

    What is said of it is put into words when somebody asks for it, for of thousands of cases hardly anybody does.

    Attributes
    ----------
    prepared : Prepared
    verdict : str
    within : float or None
        Probability that the true value is in the band.
    usable : bool
    word : callable
        Makes ``checked``.
    own : tuple of Finding
        What the pack's own validator found; ``checked`` is without them.
    """

    prepared: Prepared
    verdict: Verdict
    within: float | None
    usable: bool
    word: Callable[[], CheckedReading]
    own: tuple[Finding, ...] = ()
    _checked: CheckedReading | None = None

    @property
    def checked(self) -> CheckedReading:
        """The engine's own judgement, as it is answered."""
        if self._checked is None:
            self._checked = self.word()
        return self._checked

    def with_own(self) -> CheckedReading:
        """The same with what the pack's own validator found."""
        checked = self.checked
        if not self.own:
            return checked
        return replace(checked, verdict=self.verdict, findings=(*checked.findings, *self.own))


def judge(
    prepared: Prepared, opened: OpenBuilds, family: Family, tech_sheet: Mapping[str, Limits], thresholds: Thresholds,
) -> Judged:  # fmt: skip
    """Validate one reading.

    Parameters
    ----------
    prepared : Prepared
    opened : OpenBuilds
        The configurations still open.
    family : Family
    tech_sheet : mapping of test id to Limits
        Limits that replace the pack's.
    thresholds : Thresholds
        From which probabilities a reading is within and outside.
    """
    rulers = rulers_of(opened, prepared.test)
    findings = _refusals(prepared, rulers.builds, family)
    for finding in findings:
        if finding.severity == "reject":
            return Judged(prepared, "rejected", None, False, partial(_answer, prepared, "rejected", findings))
    if prepared.event == "seen":
        return _judge_seen(prepared, rulers, findings)
    missing: Sequence[str] = ()
    if rulers.needed:
        missing = [name for name in rulers.needed if _given(prepared, name) is None]
    bands = _bands(rulers.rulers, prepared, tech_sheet.get(prepared.test.id))
    within = _within(prepared, bands)
    decided: Verdict = verdict(min(max(within, 0.0), 1.0), thresholds)
    if missing:
        # What lies outside whatever the temperature may have been needs no temperature.
        missing = () if decided == "outside" and "set_point" not in missing else missing
        decided = "inconclusive" if missing else decided
    told, usable = None if missing else within, "set_point" not in missing
    return Judged(
        prepared, decided, told, usable,
        partial(_worded, prepared, decided, told, findings, missing, bands, rulers.rulers[0], family.supply),
    )  # fmt: skip


def _within(prepared: Prepared, bands: Sequence[tuple[float, Band]]) -> float:
    """Probability that the true value is in the healthy band of whichever build it is."""
    if len(bands) == 1:
        return _probability(prepared, bands[0][1])
    total = sum([share for share, _ in bands])
    return sum([share * _probability(prepared, found) for share, found in bands]) / total


def _worded(
    prepared: Prepared, decided: Verdict, within: float | None, refusals: Sequence[Finding], missing: Sequence[str],
    bands: Sequence[tuple[float, Band]], ruler: Ruler, supply: Supply,
) -> CheckedReading:  # fmt: skip
    """What is answered about a number."""
    findings = [*refusals, *[_missing(prepared.test, name) for name in missing], *_remarks(prepared)]
    expected = _expected(prepared, bands, ruler, supply) if "set_point" not in missing else None
    return _answer(prepared, decided, findings, expected, within)


def _bands(rulers: Sequence[Ruler], prepared: Prepared, sheet: Limits | None) -> list[tuple[float, Band]]:
    """Healthy bands with the shares of the builds they hold for."""
    if len(rulers) == 1:
        return [(1.0, rulers[0].band(prepared, sheet))]
    shares: dict[tuple[object, ...], tuple[float, Band]] = {}
    for ruler in rulers:
        found = ruler.band(prepared, sheet)
        key = found.low, found.high, found.basis, found.source
        share, _ = shares.get(key, (0.0, found))
        shares[key] = share + ruler.share, found
    return list(shares.values())


def _given(prepared: Prepared, name: str) -> float | None:
    situation = prepared.situation
    return {"ambient": situation.ambient, "supply_voltage": situation.supply, "set_point": situation.set_point}[name]


def _refusals(prepared: Prepared, having: Sequence[Build], family: Family) -> Sequence[Finding]:
    test, state_id, event = prepared.test, prepared.reading.state, prepared.event
    found = []
    if not having:
        found.append(
            Finding("not_in_this_build", "reject", f"{test.title}: an appliance with these options has no such test.",
                    "Check the options given.")
        )  # fmt: skip
    if state_id is not None and state_id not in test.states:
        found.append(_other_state(test, state_id, family))
    if (
        event == "value" and prepared.value < 0.0 and test.kind in _NEVER_NEGATIVE
        and prepared.value < -max(3 * prepared.uncertainty, prepared.off)
    ):  # fmt: skip
        found.append(
            Finding("impossible_value", "reject", f"{prepared.value:g} {test.unit} is less than nothing.",
                    "Read again.")
        )  # fmt: skip
    if event == "over" and test.kind not in ("resistance", "capacitance", "concentration"):
        found.append(
            Finding("over_range_meaningless", "reject", f"Over range says nothing about a {test.kind}.",
                    "Choose a higher range and read again.")
        )  # fmt: skip
    return found


def _other_state(test: Test, state_id: str, family: Family) -> Finding:
    """What to think of a reading taken in a state that its test does not list."""
    state = next(s for s in family.states if s.id == state_id)
    wanted = next(s for s in family.states if s.id == test.states[0])
    remedy = f"Take it in the state {wanted.title!r}."
    if state.powered and test.kind in DEAD_KINDS:
        why = f"A {test.kind} reading taken under power means nothing, and endangers the meter and you."
    elif not state.powered and (wanted.powered or test.kind in LIVE_KINDS):
        why = "Without power this says nothing."
    elif not state.gas_on and wanted.gas_on:
        why = "With the gas shut this says nothing."
    else:
        why = f"Taken in the state {state.title!r}: it counts, but that is not the way to do it."
        return Finding("other_state", "note", why, remedy)
    return Finding("wrong_state", "reject", why, remedy)


def _missing(test: Test, name: str) -> Finding:
    return Finding(
        "condition_missing", "doubt", f"{test.title}: this reading decides nothing without {_WORDS[name]}.",
        f"Note {_WORDS[name]} when the reading is taken, and give it as conditions.{name}.",
    )  # fmt: skip


def _remarks(prepared: Prepared) -> Iterator[Finding]:
    visible = prepared.off > max(prepared.uncertainty, 0.002 * abs(prepared.value))
    if prepared.leads and prepared.event == "value" and visible:
        yield Finding("leads_subtracted", "note", f"{prepared.leads:g} ohm of the leads are taken off.",
                      "Zero the leads, or give lead_resistance of this meter.")  # fmt: skip
    # A controlled temperature swings: its readings are repeated for that very reason.
    if prepared.test.kind != "temperature" and prepared.scatter > 3 * max(prepared.own, 0.02 * abs(prepared.value)):
        yield Finding("repeats_scatter", "doubt", "The repeated readings differ by far more than the meter's error.",
                      "Look for a loose connection or a changing load, and read again.")  # fmt: skip


def _judge_seen(prepared: Prepared, rulers: Rulers, findings: Sequence[Finding]) -> Judged:
    """What is seen is judged by what is sound, and not by any number: the same answer serves for many cases."""
    reading, situation = prepared.reading, prepared.situation
    supply = situation.supply if rulers.by_supply else None
    key = reading.seen, reading.state, supply, prepared.beeper, prepared.instrument.assumed
    checked = rulers.seen.get(key)
    if checked is None:
        if len(rulers.seen) >= _MOST_SEEN:
            rulers.seen.clear()
        checked = rulers.seen[key] = _checked_seen(prepared, rulers, findings)
    return Judged(prepared, checked.verdict, None, True, lambda: checked)


def _checked_seen(prepared: Prepared, rulers: Rulers, findings: Sequence[Finding]) -> CheckedReading:
    test, healthy = prepared.test, [0.0] * len(prepared.test.outcomes)
    for build in rulers.builds:
        chances = build.compiled.healthy(test.id, prepared.situation, prepared.beeper)
        for place, chance in enumerate(chances):
            healthy[place] += build.share / rulers.total * chance
    usual = tuple([outcome for outcome, chance in zip(test.outcomes, healthy, strict=True) if chance >= _USUAL])
    decided: Verdict = "within" if prepared.reading.seen in usual else "outside"
    # Where health shows either way, what was seen decides nothing by itself.
    if decided == "within" and len(usual) > 1:
        decided = "inconclusive"
    expected = Expected(basis=rulers.builds[0].compiled.seen_basis(test.id), seen=usual)
    return _answer(prepared, decided, findings, expected)


def _probability(prepared: Prepared, found: Band) -> float:
    """Probability that the true value is in the band (JCGM 106:2012)."""
    if prepared.event == "over":
        return float(found.high is None or found.high > prepared.instrument.maximum_resistance)
    if prepared.event == "under":
        return float(found.low is None or found.low <= prepared.uncertainty)
    return probability_within(prepared.value, prepared.uncertainty, found.low, found.high)


def _expected(prepared: Prepared, shared: Sequence[tuple[float, Band]], ruler: Ruler, supply: Supply) -> Expected:
    """One band for the answer: the hull of the bands of all open builds."""
    used = _conditions_used(prepared, ruler, supply)
    if len(shared) == 1:
        [(_, band)] = shared
        return Expected(band.basis, prepared.test.unit, band.low, band.high, None, band.source, used)
    bands = [found for _, found in shared]
    lows, highs = [b.low for b in bands], [b.high for b in bands]
    low = None if None in lows else min(v for v in lows if v is not None)
    high = None if None in highs else max(v for v in highs if v is not None)
    sources = "; ".join(dict.fromkeys(b.source for b in bands if b.source)) or None
    return Expected(bands[0].basis, prepared.test.unit, low, high, None, sources, used)


def _conditions_used(prepared: Prepared, ruler: Ruler, supply: Supply) -> dict[str, UsedCondition]:
    used: dict[str, UsedCondition] = {}
    situation, given = prepared.situation, prepared.given_by
    if prepared.test.kind in LIVE_KINDS and not prepared.test.measures:
        on_scale = situation.supply if situation.supply is not None else float(supply.nominal)
        volts = told(on_scale, supply, ruler.configuration)
        used["supply_voltage"] = UsedCondition(volts, "V", given.get("supply_voltage") or "assumed")
    for name, value in (("ambient", situation.ambient), ("set_point", situation.set_point)):
        if name in prepared.test.needs and value is not None:
            used[name] = UsedCondition(value, "degC", given[name])
    return used


def _answer(
    prepared: Prepared, decided: Verdict, findings: Sequence[Finding], expected: Expected | None = None,
    within: float | None = None,
) -> CheckedReading:  # fmt: skip
    valued = prepared.event == "value"
    assumed = prepared.instrument.assumed
    if prepared.reading.state is None:
        assumed = (*assumed, f"taken in the state {prepared.test.states[0]}")
    return CheckedReading(
        prepared.test.id,
        decided,
        value=prepared.value if valued else None,
        unit=prepared.test.unit if prepared.event != "seen" else None,
        seen=prepared.reading.seen,
        over_range=prepared.event == "over",
        under_range=prepared.event == "under",
        expected=expected,
        standard_uncertainty=prepared.uncertainty if valued else None,
        probability_within=within,
        assumed=assumed,
        findings=tuple(findings),
        as_read=prepared.as_read,
    )


def is_soft(predicted: Predicted, row: int, input_impedance: float) -> bool:
    """Whether a voltage comes from a source that a meter with this input pulls down: a floating wire."""
    impedance = predicted.source_impedance
    return impedance is not None and bool(impedance[row] > _SOFT * input_impedance)
