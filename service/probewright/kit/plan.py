"""What a new pack is made of."""

from __future__ import annotations

from dataclasses import dataclass

from probewright.errors import ProbewrightError


class KitError(ProbewrightError):
    """A new pack cannot be written as it was asked for."""

    code = "new_pack"


@dataclass(frozen=True, slots=True)
class NewPack:
    """A pack to be written.

    Attributes
    ----------
    name : str
        Of its family, its package and its entry point; see :func:`probewright.kit.checked_name`.
    title : str
        What people call the family.
    circuit : bool
        Whether it begins with a circuit, or with stated distributions and tables alone.
    """

    name: str
    title: str
    circuit: bool = True

    @property
    def distribution(self) -> str:
        """What it is installed as; its folder has the same name."""
        return f"probewright-pack-{self.name.replace('_', '-')}"
