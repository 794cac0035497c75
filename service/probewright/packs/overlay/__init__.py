"""Lays a shop's own numbers and records over a family.

An :class:`Overlay` comes from a shop's file (:mod:`probewright.packs.shopfile`) or from a pack that registers no family
(the hook ``probewright_overlays``).  Precedence, weakest first: the family's own pack; overlay packs in the order of
their entry-point names; shop files in the order given; then what a case gives itself.  Each layer lies over all that is
under it, so of two that set the same number the later one counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from probewright.errors import PackError
from probewright.packs.check import broken_rules
from probewright.packs.check.forms import check_forms
from probewright.packs.check.names import Report
from probewright.packs.model import Family
from probewright.packs.overlay.draft import Draft, in_layer
from probewright.packs.overlay.figures import lay_figures, lay_supply
from probewright.packs.overlay.own import lay_limits, lay_outcomes, lay_own
from probewright.packs.overlay.records import (
    Effects,
    OutcomeRow,
    Overlay,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
)

__all__ = [
    "RESERVED_LAYERS", "Effects", "OutcomeRow", "Overlay", "OverlayError", "ShopCautions", "ShopCosts", "ShopMinutes",
    "ShopSupply", "laid_over",
]  # fmt: skip

#: Names that no layer may have: the weakest and the strongest there is.
RESERVED_LAYERS: Final = ("case", "pack")


class OverlayError(PackError):
    """An overlay does not fit its family; ``broken`` lists every place and the rule that it breaks."""

    code = "bad_overlay"

    def __init__(self, overlay: Overlay, broken: Sequence[str]) -> None:
        self.layer, self.family, self.broken = overlay.layer, overlay.family, tuple(broken)
        super().__init__(f"layer {self.layer!r} over family {self.family!r}: " + "; ".join(self.broken))


def laid_over(family: Family, overlay: Overlay) -> Family:
    """A family with an overlay laid over it; every figure that the overlay sets knows its layer.

    Parameters
    ----------
    family : Family
        One that holds together (:func:`probewright.packs.check.check_family`), with other layers over it or none.
    overlay : Overlay
        An overlay for that family.

    Returns
    -------
    Family
        A new one, which holds together as well.  An overlay that says nothing gives an equal family, and one that sets
        the numbers that are there, with their bases and sources, one of the same digest.

    Raises
    ------
    OverlayError
        When the overlay names what the family does not have, or breaks a rule of a family; every place is named.

    Examples
    --------
    >>> from probewright.packs import shop
    >>> rates = {"fuse_open": shop(0.02)}
    >>> laid_over(family, Overlay("north_street", "warmer", fault_rates=rates))  # doctest: +SKIP
    """
    report = Report()
    _check_overlay(family, overlay, report)
    if report.broken:  # the rest relies on the records' types
        raise OverlayError(overlay, report.broken)
    marked, draft = in_layer(overlay, overlay.layer), Draft(family, report)
    lay_supply(draft, marked.supply)
    lay_own(draft, marked)
    lay_figures(draft, marked)
    lay_limits(draft, marked)
    lay_outcomes(draft, marked)
    laid = draft.family()
    broken = dict.fromkeys((*report.broken, *broken_rules(laid)))
    if broken:
        raise OverlayError(overlay, tuple(broken))
    return laid


def _check_overlay(family: Family, overlay: Overlay, report: Report) -> None:
    """Its name, its family, and whether it is made of what its fields ask for."""
    check_forms(overlay, report)
    if report.broken:
        return
    report.snake_case("layer", overlay.layer)
    if overlay.layer in RESERVED_LAYERS:
        report.say(f"layer {overlay.layer!r}", "the name is reserved")
    if overlay.family != family.id:
        report.say("family", f"it is for family {overlay.family!r}, not for {family.id!r}")
