"""What an author answers to a reviewer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Accepted:
    """A warning of ``probewright pack check`` that the author knows of and accepts.

    The review shows it with its reason, and its exit code does not count it.  An error cannot be accepted, and one
    that matches no finding is a warning itself, so that none outlives what it was written for.

    >>> Accepted("weak_basis", "family", "No source is known yet; the shop's own rates are laid over.").rule
    'weak_basis'

    Attributes
    ----------
    rule : str
        The rule's id, as the review shows it.
    record : str
        The record, as the review shows it: ``"fault fuse_open"``.
    reason : str
        Why it stands: a sentence for whoever uses the pack.
    """

    rule: str
    record: str
    reason: str
