"""Closed jobs that were simulated: to try learning on, where the truth is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from typing import Any

import orjson

from probewright.simulation.play import Played, play
from probewright.simulation.policies import Move, Policy, Scene
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.closed import UNKNOWN, ClosedJob


def close(world: World, job: Job, policy: Policy, day: date) -> tuple[ClosedJob, Played]:
    """Play a job to its end, and close it with what was truly wrong, whoever found that in the end."""
    last = [job.case]

    def noting(scene: Scene) -> Move:
        last[0] = scene.case
        return policy(scene)

    played = play(world, job, noting)
    return ClosedJob(last[0], proven_of(job.wrong), day), played


def proven_of(wrong: Wrong) -> tuple[str, ...]:
    """What a closed job says was proven."""
    return (UNKNOWN,) if wrong.unknown else tuple(sorted(wrong.faults))


def written(closed: ClosedJob) -> bytes:
    """A closed job as a line of a file, with its line feed; what a case leaves out by default is left out."""
    document = {"case": _plain(closed.case), "proven": list(closed.proven), "closed": closed.day.isoformat()}
    return orjson.dumps(document, option=orjson.OPT_APPEND_NEWLINE)


def _plain(value: Any) -> Any:
    """A record as JSON has it, without members that say what is taken for granted."""
    if is_dataclass(value):
        given = {f.name: (getattr(value, f.name), _default(f)) for f in fields(value)}
        return {name: _plain(inner) for name, (inner, default) in given.items() if inner != default}
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple):
        return [_plain(inner) for inner in value]
    return value


def _default(field: Field[Any]) -> Any:
    return field.default if field.default_factory is MISSING else field.default_factory()
