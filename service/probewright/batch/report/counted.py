"""The counts of a tally as the page asks for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

Document = Mapping[str, Any]
Numbers = Mapping[str, int]
Grid = dict[tuple[int, int], int]


class Counted:
    """What :meth:`probewright.batch.summary.Tally.to_json` gave, by name."""

    def __init__(self, told: Document) -> None:
        self._told = told
        self.answered: int = told["answered"]
        self.refused: int = told["refused"]
        totals = Counter[str](told["families"]["others"])
        for _, numbers in told["families"]["counts"]:
            totals.update(numbers)
        #: Jobs by status and by kind of change, and those with a note.
        self.totals: Numbers = totals

    def families(self) -> dict[str, Numbers]:
        """Jobs of each family by status and by kind of change."""
        return {key[0]: numbers for key, numbers in self._told["families"]["counts"]}

    def packs(self) -> dict[tuple[str, str, str], Numbers]:
        """Jobs by family, version and digest, now and earlier."""
        return {tuple(key): numbers for key, numbers in self._told["packs"]["counts"]}

    def problems(self) -> dict[str, int]:
        """Refused lines by the code of their problem."""
        return {key[0]: numbers["lines"] for key, numbers in self._told["problems"]["counts"] if key[0]}

    def flows(self) -> dict[str, dict[tuple[str, str], int]]:
        """Jobs of each family by the fault that led before and the one that leads now."""
        found: dict[str, dict[tuple[str, str], int]] = {}
        for (family, before, after), numbers in self._told["flows"]["counts"]:
            found.setdefault(family, {})[before, after] = sum(numbers.values())
        return found

    def flows_left_out(self) -> int:
        """Jobs of rare flows, which the tally put together."""
        return sum(self._told["flows"]["others"].values())

    def tests(self) -> dict[tuple[str, str], Numbers]:
        """Corrected readings and changed verdicts by family and test."""
        return {tuple(key): numbers for key, numbers in self._told["tests"]["counts"]}

    def meters(self) -> tuple[dict[str, Numbers], Numbers]:
        """Corrected readings and their jobs by meter, and those of meters that the tally put together."""
        return {key[0]: numbers for key, numbers in self._told["meters"]["counts"]}, self._told["meters"]["others"]

    def probabilities(self, sort: str) -> Grid:
        """Jobs by the step of the leading probability before and now; ``stays`` or ``differs``."""
        found = ((key, numbers.get(sort, 0)) for key, numbers in self._told["probabilities"]["counts"])
        return {(int(key[0]), int(key[1])): jobs for key, jobs in found if jobs}

    def shifts(self) -> dict[int, Numbers]:
        """Jobs by the step of the largest change of any probability, by status."""
        return {int(key[0]): numbers for key, numbers in self._told["shifts"]["counts"]}

    def strongest(self, name: str) -> list[Document]:
        """The jobs that changed most, of one kind of change."""
        return [entry for _, _, entry in self._told["strongest"][name]]
