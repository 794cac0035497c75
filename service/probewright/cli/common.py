"""What several commands need: packs by the deployment's settings, and printing."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from typing import Any

import orjson

from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings


def prepared(strict: bool) -> tuple[Registry, Settings]:
    """The packs and the settings, from the environment."""
    settings = Settings.from_environment(os.environ)
    return load_packs(strict=strict or settings.strict_packs), settings


def show(document: Mapping[str, Any], as_json: bool, render: Callable[[Mapping[str, Any]], str]) -> None:
    """Print a document for a script or for a person."""
    text = orjson.dumps(document).decode() if as_json else render(document)
    sys.stdout.write(text + "\n")
