"""The packs and the settings of this deployment, which every command but ``--version`` needs."""

from __future__ import annotations

import os
from collections.abc import Sequence

from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings


def prepared(strict: bool, shop: Sequence[str] = ()) -> tuple[Registry, Settings]:
    """The packs and the settings, from the environment; the files of the command line lie over those that it names."""
    settings = Settings.from_environment(os.environ)
    shop_files = (*settings.shop_files, *shop)
    return load_packs(strict=strict or settings.strict_packs, shop_files=shop_files), settings
