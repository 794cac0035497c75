"""What was loaded and refused, as JSON documents."""

from __future__ import annotations

from typing import Any

from probewright.packs.registry import Layer, LoadedPack, Registry


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
        "layers": [layer_document(layer) for layer in pack.layers],
    }


def layer_document(layer: Layer) -> dict[str, Any]:
    """A layer, and what it is from; a shop's file is known by the name of its layer alone."""
    document = {"layer": layer.name, "from": layer.origin}
    if layer.origin == "shop_file":
        return document
    named = {"entry_point": layer.entry_point, "distribution": layer.distribution, "version": layer.version}
    return document | named


def packs_document(registry: Registry) -> dict[str, Any]:
    """What was loaded and laid over it, and what was refused and why, for ``GET /v1/packs``."""
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
    layers = [layer_document(layer) | {"families": list(layer.families)} for layer in registry.layers]
    return {"loaded": loaded, "layers": layers, "refused": refused}
