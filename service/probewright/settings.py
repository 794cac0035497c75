"""What a deployment may set, from environment variables ``PROBEWRIGHT_...``.

May import: ``quantities``, ``errors``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from probewright.errors import ProbewrightError
from probewright.quantities.conformity import Thresholds

PREFIX = "PROBEWRIGHT_"


class SettingsError(ProbewrightError):
    """A setting is not one: mend the deployment."""

    code = "bad_setting"


@dataclass(frozen=True, slots=True)
class Settings:
    """One deployment's settings.  None of the defaults comes from a standard: they are choices, to be reviewed.

    Attributes
    ----------
    verdict_within, verdict_outside : float
        Probabilities of conformity (JCGM 106) from which a reading is ``within``, and up to which it is ``outside``.
    misread_rate : float
        Share of readings that are misread or mistyped, so that one absurd number cannot drown the rest.
    max_body_bytes : int
        Largest request body; where a body is a stream of lines, the longest line.
    strict_packs : bool
        Refuse to start when any pack is refused.
    shop_files : tuple of str
        Files of the shop that are laid over the packs, each over all before it; in the variable they stand apart as
        paths do on the machine (``os.pathsep``).
    stream_patience_seconds : float
        How long `serve` waits for a client that neither sends nor reads before it drops it.
    streams_at_once : int
        Streams that one worker answers at once, the rest is told to come again; 0 for half of the threads of `serve`,
        and for any number where another server runs the application.

    Raises
    ------
    SettingsError
        When a value is out of its range.
    """

    verdict_within: float = 0.95
    verdict_outside: float = 0.05
    misread_rate: float = 0.01
    max_body_bytes: int = 262_144
    strict_packs: bool = False
    shop_files: tuple[str, ...] = ()
    stream_patience_seconds: float = 60.0
    streams_at_once: int = 0

    def __post_init__(self) -> None:
        if not 0.0 <= self.verdict_outside < self.verdict_within <= 1.0:
            raise SettingsError(
                f"{PREFIX}VERDICT_OUTSIDE ({self.verdict_outside}) must be less than {PREFIX}VERDICT_WITHIN "
                f"({self.verdict_within}), and both lie from 0 to 1"
            )
        if not 0.0 < self.misread_rate < 0.5:
            raise SettingsError(f"{PREFIX}MISREAD_RATE ({self.misread_rate}) must lie between 0 and 0.5")
        if self.max_body_bytes < 1024:
            raise SettingsError(f"{PREFIX}MAX_BODY_BYTES ({self.max_body_bytes}) must be at least 1024")
        if not 0.1 <= self.stream_patience_seconds <= 86_400:
            raise SettingsError(
                f"{PREFIX}STREAM_PATIENCE_SECONDS ({self.stream_patience_seconds}) must lie between 0.1 and 86400"
            )
        if self.streams_at_once < 0:
            raise SettingsError(f"{PREFIX}STREAMS_AT_ONCE ({self.streams_at_once}) must not be less than 0")

    @property
    def thresholds(self) -> Thresholds:
        """The thresholds of the verdict."""
        return Thresholds(self.verdict_within, self.verdict_outside)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str]) -> Settings:
        """Read settings: for each field the variable of its name in capitals, after :data:`PREFIX`.

        Parameters
        ----------
        environment : mapping
            ``os.environ``, or another.

        Raises
        ------
        SettingsError
            When a variable cannot be read; the message names it.  Variables that are no setting are left alone:
            other programs of the deployment may have their own.
        """
        defaults = cls()
        read: dict[str, Any] = {
            name: _read(PREFIX + name.upper(), environment[PREFIX + name.upper()], type(getattr(defaults, name)))
            for name in cls.__dataclass_fields__
            if PREFIX + name.upper() in environment
        }
        return cls(**read)


def _read(variable: str, text: str, kind: type) -> bool | int | float | tuple[str, ...]:
    if kind is tuple:
        return tuple(path for path in text.split(os.pathsep) if path)
    if kind is bool:
        known = {"1": True, "true": True, "yes": True, "0": False, "false": False, "no": False, "": False}
        if text.strip().lower() not in known:
            raise SettingsError(f"{variable} must be true or false, not {text!r}")
        return known[text.strip().lower()]
    try:
        return int(text) if kind is int else float(text)
    except ValueError:
        wanted = "a whole number" if kind is int else "a number"
        raise SettingsError(f"{variable} must be {wanted}, not {text!r}") from None
