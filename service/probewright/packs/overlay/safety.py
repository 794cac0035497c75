"""What no overlay may weaken: limits on which safety depends, and the checks that prove a repair safe."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import product

from probewright.circuit.parts import holds
from probewright.packs.model import Closing, Family, Limit
from probewright.packs.overlay.draft import Draft
from probewright.packs.overlay.records import Overlay


class Guard:
    """The tests of a family on which safety depends, and what limits of one may not do."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self.resting = {c.test: f"closing check {c.id!r}" for c in family.closings if c.guarded and c.test is not None}
        for lock in family.interlocks:
            self.resting |= dict.fromkeys((*lock.seen, *lock.above, *lock.cleared_by), f"hazard {lock.id!r}")

    def weakened(self, test: str, below: Sequence[Limit], laid: Sequence[Limit]) -> str | None:
        """Why limits may not take the place of those that are there, or None: in no build may they pass more."""
        if test not in self.resting:
            return None
        for build in self._builds((*below, *laid)):
            before, after = _first(below, build), _first(laid, build)
            if before is None and after is not None:
                return (
                    f"{self.resting[test]} rests on this test, and where it has no limits the model itself says what "
                    "is sound; give limits only for builds that have some"
                )
            if before is not None and after is not None and not _tighter(after, before):
                return f"{self.resting[test]} rests on this test, so its limits may be drawn tighter and not wider"
        return None

    def _builds(self, limits: Sequence[Limit]) -> Iterator[Mapping[str, str]]:
        """All values together of the options that limits name; an option that builds may lack is left out as well."""
        named = {option for limit in limits for option in limit.when}
        options = [option for option in self.family.options if option.id in named]
        values = [(*(value.id for value in o.values), *([None] if o.when else [])) for o in options]
        for build in product(*values):
            yield {o.id: value for o, value in zip(options, build, strict=True) if value is not None}


def _first(limits: Sequence[Limit], build: Mapping[str, str]) -> Limit | None:
    return next((limit for limit in limits if holds(limit.when, build)), None)


def _tighter(limit: Limit, other: Limit) -> bool:
    """Whether nothing passes a limit that the other would stop."""
    return (
        other.scales_with_supply == limit.scales_with_supply
        and (other.low is None or (limit.low is not None and limit.low >= other.low))
        and (other.high is None or (limit.high is not None and limit.high <= other.high))
    )


def check_cures(draft: Draft, overlay: Overlay) -> None:
    """A new cure of a fault is proven safe, and takes a skill, as all cures that are there do."""
    proofs, skills = _proofs(draft.below), _skills(draft.below)
    repairs = {repair.id: repair for repair in draft.all("repair")}
    for path, name, fault in _new_cures(overlay):
        if name not in repairs:
            continue  # told where it is laid
        missing = [c for c in proofs.get(fault, ()) if c not in repairs[name].closing_checks]
        told = f"every repair of {fault!r} that is there"
        if missing:
            named = ", ".join(map(repr, missing))
            draft.report.say(path, f"{told} is proven safe by {named}: {name!r} lacks these checks")
        if repairs[name].skill is None and skills.get(fault):
            named = " or ".join(map(repr, skills[fault]))
            draft.report.say(path, f"{told} takes the skill {named}: {name!r} takes none")


def _new_cures(overlay: Overlay) -> Iterator[tuple[str, str, str]]:
    """Where it stands, the repair, and the fault that it may cure."""
    for repair in overlay.repairs:
        yield from ((f"repairs: repair {repair.id}", repair.id, f) for f, chance in repair.cures.items() if chance > 0)
    for index, effects in enumerate(overlay.effects):
        cured = (repair for repair, chance in effects.cured_by.items() if chance > 0)
        yield from ((f"effects[{index}].cured_by", repair, effects.fault) for repair in cured)


def _proofs(family: Family) -> Mapping[str, Collection[str]]:
    """For each fault the guarded closing checks that all of its cures share, in the family's order."""
    hazards = {test for lock in family.interlocks for test in (*lock.seen, *lock.above, *lock.cleared_by)}
    guarded = [c.id for c in family.closings if _guarded(c, hazards)]
    found: dict[str, list[str]] = {}
    for repair in family.repairs:
        for fault, chance in repair.cures.items():
            if chance > 0:
                found[fault] = [c for c in found.get(fault, guarded) if c in repair.closing_checks]
    return found


def _skills(family: Family) -> Mapping[str, Collection[str]]:
    """For each fault whose cures all take a skill, these skills."""
    found: dict[str, list[str | None]] = {}
    for repair in family.repairs:
        for fault, chance in repair.cures.items():
            if chance > 0:
                found.setdefault(fault, []).append(repair.skill)
    return {fault: sorted({s for s in of if s}) for fault, of in found.items() if None not in of}


def _guarded(closing: Closing, hazards: Collection[str]) -> bool:
    return closing.guarded or closing.test in hazards
