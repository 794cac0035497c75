"""Lines of a stream answered, a piece at a time: an answer for each line, or the error that stands in its place.

A bad line costs no other line its answer, and neither does a pack or a service that fails over one of them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, Protocol, TypeVar

from probewright.batch.jobs import Job, read_case, read_job
from probewright.batch.lines import Line, LineTooLongError
from probewright.batch.summary import Tally
from probewright.errors import ProbewrightError
from probewright.intake import loaded, pack_of
from probewright.packs.registry import LoadedPack, Registry
from probewright.settings import Settings
from probewright_schemas.batch import ChangesSchema
from probewright_schemas.batch_dump import reevaluation_document
from probewright_schemas.batch_records import Changes, Reevaluation
from probewright_schemas.dump import pack_identity, to_document
from probewright_schemas.load import loader
from probewright_schemas.records import Case, Diagnosis, PackIdentity

Document = dict[str, Any]
T = TypeVar("T")
R = TypeVar("R")
DiagnoseMany = Callable[[Sequence[Case], LoadedPack, Settings], Sequence[Diagnosis | Exception]]

_LOAD_CHANGES = loader(ChangesSchema())


class Reevaluating(Protocol):
    """What asks stored jobs again, as :class:`probewright.batch.reevaluating.Reevaluator` does."""

    def results(self, jobs: Sequence[Job]) -> Sequence[Reevaluation | Exception]:
        """What became of each job, in their order; an error in the place of a result."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one line: the document that answers it, or the error that stands in its place."""

    line: int
    answer: Document | Exception


class Batch(ABC, Generic[T, R]):
    """Answers the lines of one stream; ``member`` is what an answer is called in the lines that go out."""

    member: ClassVar[str]

    def work(self, lines: Sequence[Line], most: int) -> list[Outcome]:
        """Answer some lines, in their order; ``most`` is what a line may have of bytes."""
        found: list[Document | Exception] = [LineTooLongError(most)] * len(lines)
        asked: list[tuple[int, T]] = []
        for place, line in enumerate(lines):
            try:
                if line.content is not None:
                    asked.append((place, self._read(line.content)))
            except Exception as error:  # noqa: BLE001  our own fault over one line must not cost the others theirs
                found[place] = error
        for (place, item), result in zip(asked, self._each([item for _, item in asked]), strict=True):
            found[place] = self._told(lines[place].number, item, result)
        for answer in found:
            if isinstance(answer, Exception):
                self._refuse(answer)
        return [Outcome(line.number, answer) for line, answer in zip(lines, found, strict=True)]

    def _each(self, items: Sequence[T]) -> list[R | Exception]:
        """All together; where that fails, each alone."""
        if not items:
            return []
        try:
            return list(self._ask(items))
        except Exception as error:  # noqa: BLE001  our own fault, or a pack's, over one of them: find out which
            if len(items) == 1:
                return [error]
            return [result for item in items for result in self._each([item])]

    def _told(self, line: int, item: T, result: R | Exception) -> Document | Exception:
        if isinstance(result, Exception):
            return result
        try:
            return self._tell(line, item, result)
        except Exception as error:  # noqa: BLE001  an answer that cannot be told is our own fault, of this line alone
            return error

    @abstractmethod
    def summary(self) -> Document:
        """What the stream came to."""

    @abstractmethod
    def _read(self, line: bytes) -> T:
        """What a line asks; raises RequestError."""

    @abstractmethod
    def _ask(self, items: Sequence[T]) -> Sequence[R | Exception]:
        """Answer them all, in their order."""

    @abstractmethod
    def _tell(self, line: int, item: T, result: R) -> Document:
        """An answer as a document, counted."""

    @abstractmethod
    def _refuse(self, error: Exception) -> None:
        """Count a line that has no answer."""


class Diagnoses(Batch[tuple[Case, LoadedPack], Diagnosis]):
    """Diagnoses of cases."""

    member = "answer"

    def __init__(self, registry: Registry, settings: Settings, diagnose_many: DiagnoseMany) -> None:
        self._registry, self._settings, self._diagnose_many = registry, settings, diagnose_many
        self._answered = self._refused = 0
        self._packs: set[PackIdentity] = set()

    def summary(self) -> Document:
        """Counts, and the models that answered."""
        packs = sorted(self._packs, key=lambda pack: (pack.family, pack.version, pack.digest))
        return {
            "lines": self._answered + self._refused,
            "answered": self._answered,
            "refused": self._refused,
            "packs": [pack_identity(pack) for pack in packs],
        }

    def _read(self, line: bytes) -> tuple[Case, LoadedPack]:
        case = read_case(line)
        return case, pack_of(case, self._registry)

    def _ask(self, items: Sequence[tuple[Case, LoadedPack]]) -> list[Diagnosis | Exception]:
        """Those of one family together."""
        places: dict[str, list[int]] = {}
        for place, (case, _) in enumerate(items):
            places.setdefault(case.family, []).append(place)
        found: dict[int, Diagnosis | Exception] = {}
        for together in places.values():
            cases, pack = [items[place][0] for place in together], items[together[0]][1]
            found |= zip(together, self._diagnose_many(cases, pack, self._settings), strict=True)
        return [found[place] for place in range(len(items))]

    def _tell(self, line: int, item: tuple[Case, LoadedPack], result: Diagnosis) -> Document:  # noqa: ARG002  the base's
        document = to_document(result)
        self._answered += 1
        self._packs.add(result.pack)
        return document

    def _refuse(self, error: Exception) -> None:  # noqa: ARG002  only how many there are is told
        self._refused += 1


class Reevaluations(Batch[Job, Reevaluation]):
    """Stored jobs asked again."""

    member = "result"

    def __init__(self, reevaluator: Reevaluating) -> None:
        self._reevaluator, self.tally = reevaluator, Tally()

    def summary(self) -> Document:
        """Counts, also by status and by kind of change, and the models that answered."""
        return self.tally.document()

    def _read(self, line: bytes) -> Job:
        return read_job(line)

    def _ask(self, items: Sequence[Job]) -> Sequence[Reevaluation | Exception]:
        return self._reevaluator.results(items)

    def _tell(self, line: int, item: Job, result: Reevaluation) -> Document:
        document = reevaluation_document(result)
        self.tally.add(result, line, item.answer.pack if item.answer is not None else None)
        return document

    def _refuse(self, error: Exception) -> None:
        self.tally.refuse(error.code if isinstance(error, ProbewrightError) else "internal_error")


def one_by_one(diagnose: Callable[[Case, LoadedPack, Settings], Diagnosis]) -> DiagnoseMany:
    """Many cases by asking for each alone."""

    def diagnose_many(
        cases: Sequence[Case], pack: LoadedPack, settings: Settings,
    ) -> list[Diagnosis | Exception]:  # fmt: skip
        answers: list[Diagnosis | Exception] = []
        for case in cases:
            try:
                answers.append(diagnose(case, pack, settings))
            except ProbewrightError as error:
                answers.append(error)
        return answers

    return diagnose_many


def load_changes(document: object) -> Changes:
    """Check a parsed document and make it changes; raises InvalidCase with a JSON pointer to every fault."""
    return loaded(_LOAD_CHANGES, document)
