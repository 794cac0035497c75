"""``probewright families`` and ``probewright packs``."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.cli.common import Exit, show
from probewright.cli.loading import prepared
from probewright.packs.listings import families_document, packs_document
from probewright.render import render_families, render_packs


def families(*, as_json: bool, strict: bool, shop: Sequence[str] = ()) -> int:
    """List the families."""
    registry, _ = prepared(strict, shop)
    show(families_document(registry), as_json, render_families)
    return Exit.OK


def packs(*, as_json: bool, strict: bool, shop: Sequence[str] = ()) -> int:
    """List the packs; the exit code says whether one was refused."""
    registry, _ = prepared(strict, shop)
    show(packs_document(registry), as_json, render_packs)
    return Exit.ATTENTION if registry.refused else Exit.OK
