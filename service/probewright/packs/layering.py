"""Lays layers over loaded packs: all of a layer, or nothing of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from probewright.packs.digest import digest
from probewright.packs.overlay import Overlay, OverlayError, laid_over
from probewright.packs.registry import Layer, LoadedPack, Refusal, Registry
from probewright_schemas.suggest import did_you_mean


class Layering:
    """Packs by family id, and the layers that lie over them."""

    def __init__(self, packs: Mapping[str, LoadedPack], layers: Iterable[Layer] = ()) -> None:
        self.packs: dict[str, LoadedPack] = dict(packs)
        self.layers = list(layers)

    def over(self, refused: tuple[Refusal, ...]) -> Registry:
        """The packs with all layers, as a registry."""
        return Registry(MappingProxyType(self.packs), refused, tuple(self.layers))

    def lay(self, overlays: Sequence[Overlay], origin: Layer, place: Callable[[Overlay, str], str]) -> tuple[str, ...]:
        """Lay overlays of one origin, unless anything in them is broken.

        Parameters
        ----------
        overlays : sequence of Overlay
        origin : Layer
            Where they come from; its name and families are taken from the overlays.
        place : function of an overlay and what is broken in it to str
            Says where that is.

        Returns
        -------
        tuple of str
            Everything that is broken; empty when they were laid.
        """
        packs, broken = dict(self.packs), list(self._taken(overlays))
        for overlay in overlays:
            try:
                packs[overlay.family] = self._laid(packs, overlay)
            except OverlayError as error:
                broken += [place(overlay, rule) for rule in error.broken]
        if not broken:
            for layer in _layers(overlays, origin):
                self.layers.append(layer)
                packs |= {f: replace(packs[f], layers=(*packs[f].layers, layer)) for f in layer.families}
            self.packs = packs
        return tuple(dict.fromkeys(broken))

    def _taken(self, overlays: Sequence[Overlay]) -> Iterable[str]:
        """Names that another layer has, and families that one layer would lie over twice."""
        names, seen = {layer.name for layer in self.layers}, set()
        for overlay in overlays:
            if overlay.layer in names:
                yield f"layer {overlay.layer!r}: the name is taken by another layer"
            if (overlay.layer, overlay.family) in seen:
                yield f"layer {overlay.layer!r}: lies over family {overlay.family!r} twice"
            seen.add((overlay.layer, overlay.family))

    @staticmethod
    def _laid(packs: Mapping[str, LoadedPack], overlay: Overlay) -> LoadedPack:
        pack = packs.get(overlay.family)
        if pack is None:
            hint = did_you_mean(overlay.family, packs) or f"; loaded: {', '.join(packs)}"
            raise OverlayError(overlay, [f"no loaded pack has this family{hint}"])
        family = laid_over(pack.family, overlay)
        return replace(pack, family=family, digest=digest(family))


def _layers(overlays: Sequence[Overlay], origin: Layer) -> Iterable[Layer]:
    for name in dict.fromkeys(overlay.layer for overlay in overlays):
        yield replace(origin, name=name, families=tuple(sorted(o.family for o in overlays if o.layer == name)))


def in_pack(overlay: Overlay, rule: str) -> str:
    """Where something is broken in an overlay of a pack."""
    return f"layer {overlay.layer!r} over family {overlay.family!r}: {rule}"


def in_shop_file(overlay: Overlay, rule: str) -> str:
    """Where something is broken in a shop's file, as the path of its key as far as that is known."""
    key = re.split(r"[.:\[ ]", rule, maxsplit=1)[0]
    inside = key in Overlay.__dataclass_fields__ and not rule.startswith(f"{key} ")
    return f"families.{overlay.family}{'.' if inside else ': '}{rule}"
