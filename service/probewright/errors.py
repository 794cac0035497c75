"""Everything this library raises, by what the caller can do about it.

    ProbewrightError
    ├── RequestError            mend the request
    │   ├── InvalidCase         one or more faults in a case, each with a JSON pointer
    │   ├── UnknownFamily       no loaded pack has this family
    │   ├── NumberError         not a finite number (quantities.units)
    │   ├── UnitError           unknown, or of another dimension (quantities.units)
    │   ├── MeterError          a meter that cannot be (quantities.instruments)
    │   ├── CorrectionError     a correction that cannot be applied (quantities.correction)
    │   ├── LineTooLongError    a line of a stream has too many bytes (batch.lines)
    │   └── MalformedJsonError  not JSON, or too deep (intake)
    ├── PackError               mend the pack
    │   ├── PackLoadError       an entry point could not be loaded
    │   └── PackModelError      a pack's model does not hold together
    ├── SettingsError           mend the deployment (settings)
    ├── UnusableError           mend the command line (cli)
    ├── FilesError              mend the command line, or the file that it names (batch.files)
    ├── RunError                mend the command line: a run cannot go on as it was asked for (batch.runs)
    ├── ClientError             asking over HTTP failed: a tree of its own (client.errors)
    └── EngineError             our fault
        └── BlockFailedError    the work on some lines failed every time (batch.runs)

Each has a stable ``code``.  Errors live where they are raised, unless several places raise them.  HTTP statuses are
mapped in one place, ``probewright.web.problems``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a request: where (a JSON pointer, RFC 6901), what, and a stable code."""

    pointer: str
    message: str
    code: str = "invalid"


class ProbewrightError(Exception):
    """Base of all errors raised on purpose."""

    code = "error"


class RequestError(ProbewrightError):
    """The caller can mend it."""

    code = "bad_request"


class InvalidCase(RequestError):
    """A case breaks the contract; ``faults`` lists every place."""

    code = "invalid_case"

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{f.pointer or '/'}: {f.message}" for f in self.faults))


class UnknownFamily(RequestError):
    """No loaded pack has this family."""

    code = "unknown_family"

    def __init__(self, family: str, known: Sequence[str]) -> None:
        self.family, self.known = family, tuple(known)
        super().__init__(f"no pack for family {family!r}; loaded: {', '.join(known) or 'none'}")


class PackError(ProbewrightError):
    """A pack author can mend it."""

    code = "bad_pack"


class Broken(str):
    """One broken rule of a pack's model, as text: the record, and what is the matter with it.

    ``rule`` is its stable id, ``record`` and ``message`` are the two halves of the text.
    """

    __slots__ = ("message", "record", "rule")
    rule: str
    record: str
    message: str

    def __new__(cls, record: str, message: str, rule: str) -> Self:
        """Say it."""
        self = super().__new__(cls, f"{record}: {message}")
        self.record, self.message, self.rule = record, message, rule
        return self


class PackModelError(PackError):
    """A pack's model does not hold together; the message names the pack, the record and the rule.

    ``broken`` holds each broken rule, where records break them.
    """

    code = "bad_pack_model"

    def __init__(self, message: str, broken: Sequence[Broken] = ()) -> None:
        self.broken = tuple(broken)
        super().__init__(message)


class PackLoadError(PackError):
    """An entry point could not be loaded."""

    code = "pack_not_loaded"

    def __init__(
        self, entry_point: str, distribution: str, version: str, reason: str, broken: Sequence[Broken] = ()
    ) -> None:
        self.entry_point, self.distribution, self.version, self.reason = entry_point, distribution, version, reason
        self.broken = tuple(broken)
        super().__init__(f"pack {entry_point!r} of {distribution} {version}: {reason}")


class EngineError(ProbewrightError):
    """Our fault: please report it."""

    code = "internal_error"


def said(error: BaseException) -> str:
    """An exception in one line: its class and message."""
    try:
        message = " ".join(str(error).split())
    except Exception:  # noqa: BLE001  an exception of foreign code may fail to tell itself
        message = "(it has no message that can be read)"
    return f"{type(error).__name__}: {message}"
