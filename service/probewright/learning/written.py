"""What was learned as a shop's file: TOML with the counts behind each number."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

import tomli_w

from probewright.figures import Figure
from probewright.learning.learned import Learned
from probewright.packs.contract import CONTRACT_VERSION
from probewright.packs.overlay import OutcomeRow
from probewright.packs.registry import LoadedPack

_WIDTH = 100
Document = dict[str, Any]


def shop_toml(pack: LoadedPack, learned: Learned) -> str:
    """The file; the same jobs, pack and plan give the same text.

    :func:`~probewright.packs.shopfile.read_shop_file` reads it.
    """
    overlay = learned.overlay
    family: Document = {}
    if overlay.unknown_rate is not None:
        family["unknown_rate"] = _figure(overlay.unknown_rate)
    if overlay.fault_rates:
        family["fault_rates"] = _figures(overlay.fault_rates)
    if overlay.outcomes:
        family["outcomes"] = [_row(row) for row in overlay.outcomes]
    document = {"layer": overlay.layer, "contract": CONTRACT_VERSION, "families": {overlay.family: family}}
    return _header(pack, learned) + tomli_w.dumps(document)


def _header(pack: LoadedPack, learned: Learned) -> str:
    period, trial = learned.period, learned.trial
    identity = pack.identity
    told = (
        f"Learned from {period.jobs} closed jobs, {period.first} to {period.last}, by `probewright pack learn`.",
        f"Pack {identity.family} {identity.version}, {identity.digest}.",
        f"Learned from the first {learned.earlier.jobs} of them and tried on the last {learned.later.jobs}, the "
        f"forecasts were: {trial.verdict}.",
        "Each source says what was counted. Numbers that are not here stay as they are.",
    )
    return "".join(f"# {line}\n" for paragraph in told for line in wrap(paragraph, _WIDTH - 2)) + "\n"


def _figure(figure: Figure) -> Document:
    return {"value": float(figure), "source": figure.source}


def _figures(figures: Mapping[str, Figure]) -> Document:
    return {name: _figure(figure) for name, figure in figures.items()}


def _row(row: OutcomeRow) -> Document:
    document: Document = {"test": row.test}
    if row.fault is not None:
        document["fault"] = row.fault
    if row.when:
        document["when"] = {o: list(v) if isinstance(v, tuple) else v for o, v in row.when.items()}
    return document | {"chances": _figures(row.chances)}
