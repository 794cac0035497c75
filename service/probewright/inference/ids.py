"""Every id in a case must be one of the family's: all that are not are named at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from difflib import get_close_matches
from typing import ParamSpec, TypeVar

from probewright.errors import Fault, InvalidCase, RequestError
from probewright.packs.model import Family
from probewright_schemas.records import Case

#: Kinds of which a family has few, so that a refusal can list them.
_SHORT_LISTS = frozenset({"tool", "skill"})

P = ParamSpec("P")
T = TypeVar("T")


class Faults:
    """Collects what is wrong with a case."""

    def __init__(self) -> None:
        self.found: list[Fault] = []

    def add(self, pointer: str, message: str, code: str = "invalid") -> None:
        """Note something wrong at a JSON pointer."""
        self.found.append(Fault(pointer, message, code))

    def unknown(self, pointer: str, kind: str, name: str, known: Iterable[str], *, list_them: bool = False) -> None:
        """Note an id that the family lacks, with the nearest it has."""
        names = list(known)
        near = get_close_matches(name, names, 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        told = f" (one of {', '.join(names)})" if list_them else ""
        self.add(pointer, f"unknown {kind.replace('_', ' ')} {name!r}{hint}{told}", f"unknown_{kind}")

    def guard(self, pointer: str, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T | None:
        """Call; a refusal of what was given becomes a fault at ``pointer``, and None is returned."""
        try:
            return function(*arguments, **named)
        except RequestError as refusal:
            self.add(pointer, str(refusal), refusal.code)
            return None

    def raise_if_any(self) -> None:
        """Raise :class:`InvalidCase` with all that was found."""
        if self.found:
            raise InvalidCase(self.found)


def escaped(name: str) -> str:
    """A name as a token of a JSON pointer (RFC 6901, section 3)."""
    return name.replace("~", "~0").replace("/", "~1")


def check_ids(case: Case, family: Family, faults: Faults) -> None:
    """Note every id in a case, outside its readings, that the family does not have."""
    _check_options(case, family, faults)
    known = {
        "complaint": [c.id for c in family.complaints],
        "function": [f.id for f in family.functions],
        "repair": [r.id for r in family.repairs],
        "test": [t.id for t in family.tests],
        "part": [p.id for p in family.parts],
        **(_brought(family) if case.visit.tools or case.visit.skills else {}),
    }
    for kind, pointer, name in _named(case):
        if name not in known[kind]:
            faults.unknown(pointer, kind, name, known[kind], list_them=kind in _SHORT_LISTS)
    _check_after_repairs(case, known["repair"], faults)


def _brought(family: Family) -> dict[str, list[str]]:
    """The instruments and skills that the family speaks of."""
    tools = {test.instrument for test in family.tests if test.instrument is not None}
    skills = [*(test.skill for test in family.tests), *(repair.skill for repair in family.repairs)]
    return {"tool": sorted(tools), "skill": sorted({skill for skill in skills if skill is not None})}


def _check_after_repairs(case: Case, known: Sequence[str], faults: Faults) -> None:
    """A reading is taken after one of the repairs that were done."""
    done = [repair.repair for repair in case.repairs_done]
    for i, reading in enumerate(case.readings):
        pointer, name = f"/readings/{i}/after_repair", reading.after_repair
        if name is None or name in done:
            continue
        if name not in known:
            faults.unknown(pointer, "repair", name, known)
        else:
            told = f"it has {', '.join(done)}" if done else "it is empty"
            faults.add(pointer, f"repair {name!r} is not among 'repairs_done'; {told}", "repair_not_done")


def _check_options(case: Case, family: Family, faults: Faults) -> None:
    options = {option.id: [value.id for value in option.values] for option in family.options}
    for option, value in case.options.items():
        pointer = f"/options/{escaped(option)}"
        if option not in options:
            faults.unknown(pointer, "option", option, options)
        elif value not in options[option]:
            faults.unknown(pointer, "option_value", value, options[option], list_them=True)


def _named(case: Case) -> Iterator[tuple[str, str, str]]:
    """Kind, pointer and name of every id that a case gives."""
    yield from (("complaint", f"/complaints/{i}", name) for i, name in enumerate(case.complaints))
    yield from (("function", f"/working/{i}", name) for i, name in enumerate(case.working))
    yield from (("repair", f"/repairs_done/{i}/repair", done.repair) for i, done in enumerate(case.repairs_done))
    yield from (("test", f"/tech_sheet/{escaped(name)}", name) for name in case.tech_sheet)
    yield from (("part", f"/costs/parts/{escaped(name)}", name) for name in case.costs.parts)
    visit = case.visit
    yield from (("tool", f"/visit/tools/{i}", name) for i, name in enumerate(visit.tools or ()))
    yield from (("skill", f"/visit/skills/{i}", name) for i, name in enumerate(visit.skills or ()))
    yield from (("part", f"/visit/parts_on_hand/{i}", name) for i, name in enumerate(visit.parts_on_hand or ()))
