"""The packs and the settings of this deployment, which every command but ``--version`` needs."""

from __future__ import annotations

import os

from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings


def prepared(strict: bool) -> tuple[Registry, Settings]:
    """The packs and the settings, from the environment."""
    settings = Settings.from_environment(os.environ)
    return load_packs(strict=strict or settings.strict_packs), settings
