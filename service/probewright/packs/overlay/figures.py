"""Lays an overlay's figures and cautions over those of a family."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from probewright.circuit.parts import Circuit, Source
from probewright.figures import Figure, weakest
from probewright.packs.model import Limit, Option, Test
from probewright.packs.overlay.draft import Draft
from probewright.packs.overlay.records import Overlay, ShopCautions, ShopSupply


def lay_figures(draft: Draft, overlay: Overlay) -> None:
    """Rates, shares, minutes, prices, costs, what is on the van, the checklist, and cautions."""
    draft.put("fault_rates", "fault", "rate", overlay.fault_rates)
    draft.put("part_prices", "part", "price", overlay.part_prices)
    for kind in ("test", "repair", "zone", "state"):
        draft.put(f"minutes.{kind}s", kind, "minutes", getattr(overlay.minutes, f"{kind}s"))
    for option, shares in overlay.option_shares.items():
        _lay_shares(draft, option, shares)
    draft.changes["costs"] = replace(draft.below.costs, **_given(overlay.costs))
    if overlay.unknown_rate is not None:
        draft.changes["unknown_rate"] = overlay.unknown_rate
    _lay_lists(draft, overlay)
    _lay_cautions(draft, overlay.cautions)


def _given(record: Any) -> dict[str, Any]:
    """The fields of a record that are not None."""
    named = {f.name: getattr(record, f.name) for f in fields(record)}
    return {name: value for name, value in named.items() if value is not None}


def _lay_shares(draft: Draft, option: str, shares: Mapping[str, Figure]) -> None:
    path = f"option_shares.{option}"

    def shared(record: Option) -> Option:
        values = {value.id: value for value in record.values}
        for name in shares:
            draft.report.known(path, f"value of option {option!r}", name, values)
        missing = [name for name in values if name not in shares]
        if missing:
            told = ", ".join(map(repr, missing))
            draft.report.say(path, f"lacks {told}: the shares of an option's values are replaced together")
            return record
        for name in (name for name, value in values.items() if value.share > 0 >= shares[name]):
            told = f"{name!r} has a share of 0: a case of such an appliance would be refused, hazards and all"
            draft.report.say(path, f"{told}; give it a small one")
        return replace(record, values=tuple(replace(value, share=shares[value.id]) for value in record.values))

    draft.edit("option_shares", "option", option, shared)


def _lay_lists(draft: Draft, overlay: Overlay) -> None:
    for name in ("van", "checklist"):
        if getattr(overlay, name) is not None:
            draft.changes[name] = getattr(overlay, name)


def lay_supply(draft: Draft, supply: ShopSupply) -> None:
    """The supply, and what is there that moves with it; what the overlay adds is for its own supply as it stands."""
    given = _given(supply)
    if "usual" in given:
        given["unmeasured"] = given.pop("usual")
    below = draft.below.supply
    draft.changes["supply"] = replace(below, **given)
    if supply.nominal is None or supply.nominal == below.nominal or below.nominal <= 0 or supply.nominal <= 0:
        return
    if supply.usual is None:
        draft.report.say("supply", f"usual is missing: how the supply spreads about {float(supply.nominal):g} V")
    _rescale(draft, supply.nominal)


def _rescale(draft: Draft, nominal: Figure) -> None:
    """Move what is given at the nominal supply with it, so that a voltage means what it meant before."""
    below = draft.below.supply.nominal

    def scaled(value: Figure) -> Figure:
        how = f"{float(value):g} at a nominal {float(below):g} V, taken to {float(nominal):g} V"
        source = f"{value.source}; {how}" if value.source else how
        basis = weakest((value.basis, nominal.basis, "derived"))
        return Figure(float(value) * float(nominal) / float(below), basis, source, nominal.layer)

    def circuit(record: Circuit) -> Circuit:
        parts = tuple(replace(p, volts=scaled(p.volts)) if isinstance(p, Source) else p for p in record.parts)
        return replace(record, parts=parts)

    def limit(record: Limit) -> Limit:
        low, high = (None if side is None else scaled(side) for side in (record.low, record.high))
        return replace(record, low=low, high=high) if record.scales_with_supply else record

    taps = tuple(replace(tap, nominal=scaled(tap.nominal)) for tap in draft.below.supply.taps)
    draft.changes["supply"] = replace(draft.changes["supply"], taps=taps)
    for record in draft.all("circuit"):
        draft.edit("supply", "circuit", record.id, circuit)
    for kind in ("test", "closing check"):
        for record in draft.all(kind):
            draft.edit("supply", kind, record.id, lambda r: replace(r, limits=tuple(limit(x) for x in r.limits)))


def _lay_cautions(draft: Draft, cautions: ShopCautions) -> None:
    draft.changes["cautions"] = _appended(draft, "cautions.family", draft.below.cautions, cautions.family)
    for kind in ("test", "repair", "state", "zone", "complaint"):
        more: Mapping[str, tuple[str, ...]] = getattr(cautions, f"{kind}s")
        for name, texts in more.items():
            path = f"cautions.{kind}s.{name}"

            def cautioned(record: Test, path: str = path, texts: tuple[str, ...] = texts) -> Test:
                return replace(record, cautions=_appended(draft, path, record.cautions, texts))

            draft.edit(f"cautions.{kind}s", kind, name, cautioned)


def _appended(draft: Draft, path: str, there: tuple[str, ...], more: tuple[str, ...]) -> tuple[str, ...]:
    if any(not text.strip() for text in more):
        draft.report.say(path, "a caution is empty")
    return (*there, *(text for text in dict.fromkeys(more) if text not in there))
