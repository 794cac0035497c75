"""What was asked, in plain words: the corrections of meters and the replaced limits."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from probewright.batch.report.about import About
from probewright.batch.report.words import signed
from probewright.render.page.words import element, escaped, paragraph
from probewright_schemas.batch_records import MeterCorrection, ReplacedLimits
from probewright_schemas.records import Correction, Limits, Quantity

#: More changes than this are folded away.
_OPEN = 12


def asked(about: About) -> str:
    """The section of what was asked."""
    changes = about.changes
    items = [
        *(_correction(one) for one in changes.corrections),
        *(_limits(one, about) for one in changes.limits),
    ]
    parts = [element("h2", "What was asked")]
    if items:
        parts.append(_listed(items))
    else:
        parts.append(paragraph(
            "No meter was corrected and no limit replaced: the stored jobs were asked again as they are, of the packs "
            "as they are now."
        ))  # fmt: skip
    if about.inputs:
        parts.append(paragraph(f"Stored jobs from {_some(about.inputs)}.", "soft"))
    return "".join(parts)


def _listed(items: Sequence[str]) -> str:
    shown, folded = items[:_OPEN], items[_OPEN:]
    parts = element("ul", "".join(element("li", one) for one in shown), "asked")
    if folded:
        inner = element("ul", "".join(element("li", one) for one in folded), "asked")
        parts += f"<details><summary>{len(folded)} more</summary>{inner}</details>"
    return parts


def _some(names: Sequence[str]) -> str:
    told = ", ".join(names[:5])
    return told if len(names) <= 5 else f"{told} and {len(names) - 5} more"


def _correction(one: MeterCorrection) -> str:
    what = f"meter {one.meter}, readings of {one.kind}"
    told = f": {_formula(one.correction)}{_days(one.since, one.until)}."
    return f"<strong>{escaped(what[0].upper() + what[1:])}</strong>{escaped(told)}"


def _formula(correction: Correction) -> str:
    """What is done to a reading, and how sure that is."""
    parts = []
    if correction.gain != 1.0 or correction.gain_uncertainty:
        what = "" if correction.at is None else f"their distance from {_quantity(correction.at)} "
        parts.append(f"{what}multiplied by {correction.gain:.10g}"
                     f"{_give_or_take(f'{correction.gain_uncertainty:.4g}', correction.gain_uncertainty)}")  # fmt: skip
    if correction.offset is not None or correction.offset_uncertainty is not None:
        offset, sure = correction.offset, correction.offset_uncertainty
        shown = "0" if offset is None else signed(f"{offset.value:+.10g} {offset.unit}")
        parts.append(f"shifted by {shown}"
                     + ("" if sure is None else _give_or_take(_quantity(sure), sure.value)))  # fmt: skip
    return " and ".join(parts) or "left as they are"


def _give_or_take(told: str, value: float) -> str:
    return f" (standard uncertainty {told})" if value else ""


def _quantity(quantity: Quantity) -> str:
    return f"{quantity.value:.10g} {quantity.unit}"


def _days(since: date | None, until: date | None) -> str:
    if since is None and until is None:
        return ", on all days"
    if until is None:
        return f", from {since} on"
    return f", until {until}" if since is None else f", from {since} to {until}"


def _limits(one: ReplacedLimits, about: About) -> str:
    name = f"{about.family(one.family)}, {about.title(one.family, one.test)}"
    when = ", ".join(
        f"{about.title(one.family, option)} is {about.title(one.family, value)}" for option, value in one.when.items()
    )
    told = f": new limits, {_band(one.limits)}{', where ' if when else ''}{when}."
    return f"<strong>{escaped(name)}</strong>{escaped(told)}"


def _band(limits: Limits) -> str:
    low, high = limits.low, limits.high
    if low is not None and high is not None:
        return f"{low:.10g} to {high:.10g} {limits.unit}"
    if low is not None:
        return f"at least {low:.10g} {limits.unit}"
    return f"at most {high:.10g} {limits.unit}" if high is not None else "open on both sides"
