"""A short way to write repairs."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Repair, When, from_memory
from probewright_packs.common.numbers import remembered


def repair(
    id_: str, title: str, cures: dict[str, float], *, minutes: float, zones: tuple[str, ...],
    steps: tuple[str, ...], shown: tuple[str, ...], part: str | None = None, skill: str | None = None,
    cautions: tuple[str, ...] = (), when: When | None = None, state: str = "isolated",
) -> Repair:  # fmt: skip
    """A repair, done with everything dead unless another state is given; chances and minutes are from memory.

    >>> fit = repair("replace_belt", "Replace the belt", {"belt_broken": 0.97}, minutes=20.0, zones=("cabinet",),
    ...              steps=("Lead it as the old one ran.",), shown=("drum_turns",), part="belt")
    >>> fit.state, fit.closing_checks
    ('isolated', ('drum_turns',))
    """
    return Repair(id_, title, remembered(cures), from_memory(minutes), state, zones, part, skill, steps, cautions,
                  shown, when or {})  # fmt: skip


def covered(of: Repair, outside: str = "outside", check: str = "covers_on") -> Repair:
    """A repair that opens a zone ends with everything back in its place: it gets one more closing check.

    >>> covered(repair("unlock", "Unlock it", {}, minutes=1.0, zones=("outside",), steps=(), shown=())).closing_checks
    ()
    """
    if check in of.closing_checks or all(zone == outside for zone in of.zones):
        return of
    return replace(of, closing_checks=(*of.closing_checks, check))
