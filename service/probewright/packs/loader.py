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
from types import MappingProxyType

import pluggy

from probewright.errors import Broken, PackError, PackLoadError, PackModelError, said
from probewright.packs import contract, hookspecs
from probewright.packs.calling import scorer, validators
from probewright.packs.check import check_family
from probewright.packs.digest import digest
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack, Refusal, Registry

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
) -> Registry:
    """Load every pack that can be loaded.

    Parameters
    ----------
    strict : bool
        Raise when any pack is refused.
    entry_points : iterable of EntryPoint, optional
        Instead of those installed in the group ``probewright.packs``.
    extra : iterable of (name, plugin)
        Packs that are there already, as modules or objects; for tests and for programs that embed the service.

    Raises
    ------
    PackError
        When no pack is left, or when ``strict`` and one was refused; the message gives every reason.
    """
    registry = survey(entry_points=entry_points, extra=extra)
    _insist(registry, strict)
    return registry


def survey(
    *, entry_points: Iterable[EntryPoint] | None = None, extra: Iterable[tuple[str, object]] = ()
) -> Registry:
    """Every pack that can be loaded, and why the others are refused, even when none is left; as :func:`load_packs`."""
    found = installed_entry_points(group=GROUP) if entry_points is None else entry_points
    candidates = [_from_entry_point(e) for e in found] + [_given(name, plugin) for name, plugin in extra]
    packs: dict[str, LoadedPack] = {}
    refused: list[Refusal] = []
    for candidate in sorted(candidates, key=lambda c: (c.name, c.distribution, c.version, c.target)):
        try:
            pack = _load(candidate, packs.values())
        except PackLoadError as error:
            log.warning("refused %s", error)
            told = (error.entry_point, error.distribution, error.version, error.reason, error.broken)
            refused.append(Refusal(*told))
        else:
            log.info("loaded family %s from %s %s", pack.family.id, pack.distribution, pack.version)
            packs[pack.family.id] = pack
    return Registry(MappingProxyType(dict(sorted(packs.items()))), tuple(refused))


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


def _load(candidate: _Candidate, loaded: Iterable[LoadedPack]) -> LoadedPack:
    """Load one pack, or raise :class:`PackLoadError` with the reason."""
    try:
        return _read(candidate, list(loaded))
    except PackLoadError:
        raise
    except Exception as error:  # foreign code may fail wherever it is touched
        raise candidate.error(f"cannot be read: {said(error)}") from error


def _read(candidate: _Candidate, others: Sequence[LoadedPack]) -> LoadedPack:
    for other in others:
        if other.entry_point == candidate.name:
            raise candidate.error(f"the entry-point name is taken by {other.distribution} {other.version}")
    plugin = _import(candidate)
    _check_contract(candidate, plugin)
    manager = _register(candidate, plugin)
    family = _family(candidate, manager)
    for other in others:
        if other.family.id == family.id:
            raise candidate.error(
                f"family {family.id!r} is taken by {other.entry_point!r} of {other.distribution} {other.version}"
            )
    return LoadedPack(
        family,
        candidate.distribution,
        candidate.version,
        candidate.name,
        _checked_digest(candidate, family),
        validators(_named(candidate), manager),
        scorer(_named(candidate), manager),
    )


def _import(candidate: _Candidate) -> object:
    try:
        return candidate.load()
    except (Exception, SystemExit) as error:  # foreign code: whatever it raises, the others must load
        raise candidate.error(f"cannot be imported: {said(error)}") from error


def _check_contract(candidate: _Candidate, plugin: object) -> None:
    refused = contract.refusal(plugin)
    if refused is not None:
        raise candidate.error(refused)


def _register(candidate: _Candidate, plugin: object) -> pluggy.PluginManager:
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    try:
        manager.register(plugin, candidate.name)
        manager.check_pending()
    except pluggy.PluginValidationError as error:
        raise candidate.error(f"its hooks do not fit the contract: {said(error)}") from error
    return manager


def _family(candidate: _Candidate, manager: pluggy.PluginManager) -> Family:
    hook = manager.hook.probewright_family
    if not hook.get_hookimpls():
        unmarked = hasattr(manager.get_plugin(candidate.name), "probewright_family")
        hint = "; it has a function of that name, not marked with @hookimpl" if unmarked else ""
        raise candidate.error(f"it lacks the required hook probewright_family{hint}")
    try:
        results: Sequence[object] = hook()
    except (Exception, SystemExit) as error:  # foreign code
        raise candidate.error(f"probewright_family raised {said(error)}") from error
    family = results[0] if results else None
    if not isinstance(family, Family):
        raise candidate.error(f"probewright_family must return a Family, not {type(family).__name__}")
    return family


def _checked_digest(candidate: _Candidate, family: Family) -> str:
    try:
        check_family(family)
        return digest(family)
    except PackModelError as error:
        raise candidate.error(str(error), error.broken) from error


def _named(candidate: _Candidate) -> str:
    return f"pack {candidate.name!r} of {candidate.distribution} {candidate.version}"
