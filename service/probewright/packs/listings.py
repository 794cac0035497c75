"""What was loaded and refused, as JSON documents."""

from __future__ import annotations

from typing import Any

from probewright.packs.registry import LoadedPack, Registry


def families_document(registry: Registry) -> dict[str, Any]:
    """The families that cases may be about, for ``GET /v1/families``."""
    return {"families": [_summary(pack) for pack in registry.packs.values()]}


def _summary(pack: LoadedPack) -> dict[str, Any]:
    family = pack.family
    return {
        "id": family.id,
        "title": family.title,
        "version": family.version,
        "digest": pack.digest,
        "demo": family.demo,
    }


def packs_document(registry: Registry) -> dict[str, Any]:
    """What was loaded, and what was refused and why, for ``GET /v1/packs``."""
    loaded = [
        {
            "family": pack.family.id,
            "family_version": pack.family.version,
            "digest": pack.digest,
            "entry_point": pack.entry_point,
            "distribution": pack.distribution,
            "version": pack.version,
        }
        for pack in registry.packs.values()
    ]
    refused = [
        {"entry_point": r.entry_point, "distribution": r.distribution, "version": r.version, "reason": r.reason}
        for r in registry.refused
    ]
    return {"loaded": loaded, "refused": refused}
