"""Findings that need the predictions of all hypotheses: values that fit nothing, slipped decades, floating wires."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from probewright.inference.checking import is_soft
from probewright.inference.densities import ByClass, numeric_by_class
from probewright.inference.likelihood import Weighed
from probewright.inference.numeric import misread_density
from probewright.inference.prepared import Prepared
from probewright_schemas.records import CheckedReading, Finding

_DECADES = (3, -3, 6, -6, 9, -9)
#: Volts under which a soft source is simply dead.
_DEAD = 3.0
#: A slipped decade is worth mentioning when it explains the value this many times better than a mistake would.
_BETTER = 10.0


def remark(checked: CheckedReading, weighed: Weighed, misread: float, *, floating: bool) -> CheckedReading:
    """Add findings to one checked reading; a floating wire turns its verdict to inconclusive."""
    prepared = weighed.prepared
    if prepared.event != "value" or not weighed.by_predictor:
        return checked
    by_class = list(weighed.by_predictor.values())
    findings = list(_unexplained(prepared, by_class, misread)) or list(_slipped(checked, prepared.off))
    if floating:
        findings.append(_floating(prepared))
    if not findings:
        return checked
    verdict = "inconclusive" if floating else checked.verdict
    return replace(checked, verdict=verdict, findings=(*checked.findings, *findings))


def _unexplained(prepared: Prepared, by_class: Sequence[ByClass], misread: float) -> Iterator[Finding]:
    error = misread * misread_density(prepared.test.kind, prepared.value)
    if any(one.best > 2 * error for one in by_class):
        return
    slipped = next((k for k in _DECADES if _explains(prepared, by_class, k, misread)), None)
    test = prepared.test
    if slipped is not None:
        would_be = prepared.value * 10.0**slipped
        yield Finding(
            "decade_suspect", "doubt",
            f"{prepared.value:g} {test.unit} fits nothing, but {would_be:g} {test.unit} would.",
            "Check the unit and its prefix: milli, kilo and mega are easily swapped.",
        )  # fmt: skip
    else:
        yield Finding(
            "fits_nothing", "doubt", f"No fault that this pack knows gives {prepared.value:g} {test.unit} here.",
            "Check where the probes are and read again.",
        )  # fmt: skip


def _slipped(checked: CheckedReading, leads: float) -> Iterator[Finding]:
    """A value that some fault explains, while a slip of the unit's prefix would make it sound."""
    band, value = checked.expected, checked.value
    if checked.verdict != "outside" or value is None or band is None or band.low is None or band.high is None:
        return
    for decade in _DECADES:
        would_be = (value + leads) * 10.0**decade - leads  # the display slipped, not the leads
        if 0 < band.low <= would_be <= band.high:
            yield Finding(
                "decade_suspect", "doubt", f"{value:g} {checked.unit} is no sound reading, but {would_be:g} would be.",
                "Check the unit and its prefix: milli, kilo and mega are easily swapped.",
            )  # fmt: skip
            return


def _explains(prepared: Prepared, by_class: Sequence[ByClass], decade: int, misread: float) -> bool:
    factor = 10.0**decade
    moved = replace(prepared, value=prepared.value * factor, uncertainty=prepared.uncertainty * factor)
    predictions = [one.predicted for one in by_class]
    error = misread * misread_density(prepared.test.kind, moved.value)
    found = numeric_by_class([moved] * len(predictions), predictions, misread)
    return any(one.best > _BETTER * error / misread for one in found)


def floats(weighed: Weighed) -> bool:
    """Whether a voltage is best explained by a wire that floats, in every build."""
    prepared, by_class = weighed.prepared, weighed.by_predictor.values()
    if prepared.event != "value" or prepared.value <= _DEAD or not by_class:
        return False
    return all(_floats(prepared, one) for one in by_class)


def found_dead(weighed: Weighed, others: Sequence[Weighed]) -> bool:
    """Whether the same test was read again, with a meter that pulls a floating wire down, and showed nothing."""
    first = weighed.prepared
    again = (
        o.prepared
        for o in others
        if o is not weighed and o.prepared.test is first.test and o.prepared.stretch == first.stretch
    )
    return any(p.event == "value" and abs(p.value) <= _DEAD for p in again)


def _floats(prepared: Prepared, one: ByClass) -> bool:
    if one.predicted.source_impedance is None:
        return False
    best = int(np.argmax(one.likelihood[:-1]))
    return is_soft(one.predicted, best, prepared.instrument.input_impedance)


def _floating(prepared: Prepared) -> Finding:
    megohms = prepared.instrument.input_impedance / 1e6
    return Finding(
        "high_impedance_source", "doubt",
        f"{prepared.value:g} V on a {megohms:g} megohm input is what a wire shows that floats beside a live one: "
        "it proves neither live nor dead.",
        "Read again with a low-impedance input, and treat the wire as live until then.",
    )  # fmt: skip
