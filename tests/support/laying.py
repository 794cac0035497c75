"""The warmer with overlays laid over it, and what is told where one does not fit."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from probewright.figures import shop
from probewright.packs.model import (
    Family,
    Limit,
)
from probewright.packs.overlay import (
    Overlay,
    OverlayError,
    laid_over,
)
from support.families import warmer

WARMER = warmer()


def lay(family: Family | None = None, layer: str = "shop_one", **what: Any) -> Family:
    return laid_over(family or WARMER, Overlay(layer, "warmer", **what))


def refused(family: Family | None = None, **what: Any) -> tuple[str, ...]:
    with pytest.raises(OverlayError) as caught:
        lay(family, **what)
    return caught.value.broken


def named(records: Any, name: str) -> Any:
    return next(record for record in records if record.id == name)


S = shop(3.0)


def limited(*below: Limit) -> Family:
    current = replace(named(WARMER.tests, "heater_current"), limits=below)
    return warmer(tests=tuple(current if t.id == current.id else t for t in WARMER.tests))


SMALL, LARGE, ANY = {"style": "small"}, {"style": "large"}, {"style": ("small", "large")}
