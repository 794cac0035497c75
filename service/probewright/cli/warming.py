"""``probewright warm-up``: compile what the first case would wait for."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

from probewright import engine
from probewright.cli.common import Exit
from probewright.cli.loading import prepared


def warm_up(*, strict: bool, shop: Sequence[str] = ()) -> int:
    """Compile the search and every pack's likeliest build; what is compiled is kept on disk where that is possible."""
    registry, settings = prepared(strict, shop)
    begun = time.monotonic()
    for pack in registry.packs.values():
        engine.warm_up(pack, settings)
    sys.stdout.write(f"warm after {time.monotonic() - begun:.1f} s: {', '.join(registry.packs)}\n")
    return Exit.OK
