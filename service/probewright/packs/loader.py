"""Loads packs from entry points, and survives those that cannot be loaded.

Candidates are taken in the order of entry-point name, distribution, version and target, whatever order they are found
in.  Where two claim the same entry-point name or the same family, the first in that order that loads has it; every
later one is refused.  Each pack gets a plugin manager of its own, so one pack's hooks are never called for another's
family.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from importlib.metadata import EntryPoint
from importlib.metadata import entry_points as installed_entry_points
from pathlib import Path

import pluggy

from probewright.errors import Broken, PackError, PackLoadError, PackModelError, said
from probewright.packs import contract, hints, hookspecs
from probewright.packs.calling import scorer, validators
from probewright.packs.check import check_family
from probewright.packs.digest import code_of, digest
from probewright.packs.layering import Layering, in_pack, in_shop_file
from probewright.packs.model import Family
from probewright.packs.overlay import Overlay
from probewright.packs.registry import Layer, LoadedPack, Refusal, Registry

GROUP = "probewright.packs"
_GIVEN = "(given)"

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class _Candidate:
    """Something that may be a pack."""

    name: str
    distribution: str
    version: str
    target: str
    load: Callable[[], object]

    def error(self, reason: str, broken: Sequence[Broken] = ()) -> PackLoadError:
        return PackLoadError(self.name, self.distribution, self.version, reason, broken)


def load_packs(
    *,
    strict: bool = False,
    entry_points: Iterable[EntryPoint] | None = None,
    extra: Iterable[tuple[str, object]] = (),
    shop_files: Iterable[str | Path] = (),
) -> Registry:
    """Load every pack that can be loaded, and lay overlay packs and shops' files over them.

    Parameters
    ----------
    strict : bool
        Raise when any pack is refused.
    entry_points : iterable of EntryPoint, optional
        Instead of those installed in the group ``probewright.packs``.
    extra : iterable of (name, plugin)
        Packs that are there already, as modules or objects; for tests and for programs that embed the service.
    shop_files : iterable of path
        Files of the shop, each laid over all before it (:mod:`probewright.packs.shopfile`).

    Raises
    ------
    PackError
        When no pack is left, or when ``strict`` and one was refused; the message gives every reason.
    ShopFileError
        When a shop's file cannot be read, or does not fit the families; the message gives every mistake in it.
    """
    registry = survey(entry_points=entry_points, extra=extra)
    _insist(registry, strict)
    return with_shop_files(registry, shop_files)


def with_shop_files(registry: Registry, shop_files: Iterable[str | Path]) -> Registry:
    """What was loaded, with files of a shop laid over it.

    Raises
    ------
    ShopFileError
        As :func:`load_packs`.
    """
    paths = tuple(shop_files)
    if not paths:
        return registry
    from probewright.packs.shopfile import ShopFileError, read_shop_file  # noqa: PLC0415  loads the schemas

    layering = Layering(registry.packs, registry.layers)
    for path in paths:
        broken = layering.lay(read_shop_file(path), Layer("", "shop_file"), in_shop_file)
        if broken:
            raise ShopFileError(str(path), broken)
    return layering.over(registry.refused)


def survey(
    *, entry_points: Iterable[EntryPoint] | None = None, extra: Iterable[tuple[str, object]] = ()
) -> Registry:
    """Every pack that can be loaded, and why the others are refused, even when none is left; as :func:`load_packs`."""
    found = installed_entry_points(group=GROUP) if entry_points is None else entry_points
    candidates = [_from_entry_point(e) for e in found] + [_given(name, plugin) for name, plugin in extra]
    taken = _Survey()
    for candidate in sorted(candidates, key=lambda c: (c.name, c.distribution, c.version, c.target)):
        taken.take(candidate)
    return taken.registry()


class _Survey:
    """What has been found of the candidates so far."""

    def __init__(self) -> None:
        self.packs: dict[str, LoadedPack] = {}
        self.overlaying: dict[str, tuple[_Candidate, tuple[Overlay, ...]]] = {}
        self.refused: list[Refusal] = []

    def take(self, candidate: _Candidate) -> None:
        """Load one, or note why not."""
        try:
            self._refuse_taken_name(candidate)
            found = _load(candidate, self.packs.values())
        except PackLoadError as error:
            self._refuse(error)
            return
        if isinstance(found, LoadedPack):
            log.info("loaded family %s from %s %s", found.family.id, found.distribution, found.version)
            self.packs[found.family.id] = found
        else:
            self.overlaying[candidate.name] = candidate, found

    def _refuse_taken_name(self, candidate: _Candidate) -> None:
        names = {pack.entry_point: (pack.distribution, pack.version) for pack in self.packs.values()}
        names |= {name: (other.distribution, other.version) for name, (other, _) in self.overlaying.items()}
        if candidate.name in names:
            distribution, version = names[candidate.name]
            raise candidate.error(f"the entry-point name is taken by {distribution} {version}")

    def _refuse(self, error: PackLoadError) -> None:
        log.warning("refused %s", error)
        told = (error.entry_point, error.distribution, error.version, error.reason, error.broken)
        self.refused.append(Refusal(*told))

    def registry(self) -> Registry:
        """The packs with the overlay packs over them."""
        layering = Layering(dict(sorted(self.packs.items())))
        for candidate, overlays in self.overlaying.values():
            try:
                _lay(candidate, overlays, layering)
            except PackLoadError as error:
                self._refuse(error)
            else:
                log.info("laid overlays of %s %s", candidate.distribution, candidate.version)
        return layering.over(tuple(self.refused))


def _insist(registry: Registry, strict: bool) -> None:
    reasons = "; ".join(f"{r.entry_point} ({r.distribution} {r.version}): {r.reason}" for r in registry.refused)
    if not registry.packs:
        raise PackError(f"no pack could be loaded: {reasons or f'nothing is installed in the group {GROUP}'}")
    if strict and registry.refused:
        raise PackError(f"packs were refused: {reasons}")


def _from_entry_point(entry_point: EntryPoint) -> _Candidate:
    dist = entry_point.dist
    name, version = (dist.name, dist.version) if dist is not None else ("(unknown)", "(unknown)")
    return _Candidate(entry_point.name, name, version, entry_point.value, entry_point.load)


def _given(name: str, plugin: object) -> _Candidate:
    return _Candidate(name, _GIVEN, _GIVEN, repr(plugin), lambda: plugin)


def _load(candidate: _Candidate, loaded: Iterable[LoadedPack]) -> LoadedPack | tuple[Overlay, ...]:
    """Load one pack, or the overlays of one, or raise :class:`PackLoadError` with the reason."""
    try:
        return _read(candidate, list(loaded))
    except PackLoadError:
        raise
    except Exception as error:  # foreign code may fail wherever it is touched
        raise candidate.error(f"cannot be read: {said(error)}") from error


def _read(candidate: _Candidate, others: Sequence[LoadedPack]) -> LoadedPack | tuple[Overlay, ...]:
    plugin = _import(candidate)
    _check_contract(candidate, plugin)
    manager = _register(candidate, plugin)
    if manager.hook.probewright_overlays.get_hookimpls():
        return _overlays(candidate, manager)
    family = _family(candidate, manager)
    hints.warn_of_unmarked(plugin, manager)
    for other in others:
        if other.family.id == family.id:
            raise candidate.error(
                f"family {family.id!r} is taken by {other.entry_point!r} of {other.distribution} {other.version}"
            )
    judges, scores = validators(_named(candidate), manager), scorer(_named(candidate), manager)
    return LoadedPack(
        family,
        candidate.distribution,
        candidate.version,
        candidate.name,
        _checked_digest(candidate, family),
        judges,
        scores,
        code=code_of(plugin) if judges or scores else "",
    )


def _import(candidate: _Candidate) -> object:
    try:
        return candidate.load()
    except (Exception, SystemExit) as error:  # foreign code: whatever it raises, the others must load
        raise candidate.error(f"cannot be imported: {said(error)}{hints.raised_at(error)}") from error


def _check_contract(candidate: _Candidate, plugin: object) -> None:
    refused = contract.refusal(plugin)
    if refused is not None:
        raise candidate.error(refused)


def _register(candidate: _Candidate, plugin: object) -> pluggy.PluginManager:
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    unknown = hints.unknown_hook(plugin, manager.parse_hookimpl_opts)
    if unknown is not None:
        raise candidate.error(f"its hooks do not fit the contract: {unknown}")
    try:
        manager.register(plugin, candidate.name)
        manager.check_pending()
    except pluggy.PluginValidationError as error:
        raise candidate.error(f"its hooks do not fit the contract: {said(error)}") from error
    return manager


def _family(candidate: _Candidate, manager: pluggy.PluginManager) -> Family:
    hook = manager.hook.probewright_family
    if not hook.get_hookimpls():
        plugin = manager.get_plugin(candidate.name)
        unmarked = [name for name in ("probewright_family", "probewright_overlays") if hasattr(plugin, name)]
        of_that_name = "of that name" if unmarked == ["probewright_family"] else f"{' and '.join(unmarked)}"
        hint = f"; it has a function {of_that_name}, not marked with @hookimpl" if unmarked else ""
        raise candidate.error(f"it lacks the required hook probewright_family{hint}")
    family = _first(candidate, hook)
    if not isinstance(family, Family):
        raise candidate.error(f"probewright_family must return a Family, not {type(family).__name__}")
    return family


def _first(candidate: _Candidate, hook: pluggy.HookCaller) -> object:
    """What a hook without arguments gives."""
    try:
        results: Sequence[object] = hook()
    except (Exception, SystemExit) as error:  # foreign code
        raise candidate.error(f"{hook.name} raised {said(error)}") from error
    return results[0] if results else None


def _overlays(candidate: _Candidate, manager: pluggy.PluginManager) -> tuple[Overlay, ...]:
    hook = manager.hook.probewright_overlays
    others = [caller.name for caller in manager.get_hookcallers(manager.get_plugin(candidate.name)) or ()
              if caller.name != hook.name]  # fmt: skip
    if others:
        told = f"{hook.name} stands alone, but it has {', '.join(sorted(others))} too: give each an entry point"
        raise candidate.error(told)
    overlays = _first(candidate, hook)
    if isinstance(overlays, str) or not isinstance(overlays, Sequence) or not overlays:
        raise candidate.error(f"{hook.name} must return a sequence of Overlay, not {overlays!r:.80}")
    strange = [overlay for overlay in overlays if not isinstance(overlay, Overlay)]
    if strange:
        raise candidate.error(f"{hook.name} must return overlays, not {strange[0]!r:.80}")
    return tuple(overlays)


def _lay(candidate: _Candidate, overlays: Sequence[Overlay], layering: Layering) -> None:
    """Lay all overlays of a pack, or raise :class:`PackLoadError` with the reason, and nothing is laid."""
    origin = Layer("", "overlay_pack", (), candidate.name, candidate.distribution, candidate.version)
    try:
        broken = layering.lay(overlays, origin, in_pack)
    except Exception as error:  # foreign code may fail wherever it is touched
        raise candidate.error(f"cannot be laid: {said(error)}") from error
    if broken:
        raise candidate.error("; ".join(broken))


def _checked_digest(candidate: _Candidate, family: Family) -> str:
    try:
        check_family(family)
        return digest(family)
    except PackModelError as error:
        raise candidate.error(str(error), error.broken) from error


def _named(candidate: _Candidate) -> str:
    return f"pack {candidate.name!r} of {candidate.distribution} {candidate.version}"
