"""What a figure was measured on."""

from __future__ import annotations

import os
import platform
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

LIBRARIES = ("numpy", "numba", "flask", "gunicorn", "marshmallow", "orjson", "pyagrum", "pgmpy", "distributed")


def processor() -> str:
    """The processor's own name, where the system tells it."""
    info = Path("/proc/cpuinfo")
    lines = info.read_text().splitlines() if info.exists() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


def memory_gib() -> float:
    """Main memory."""
    return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30


def versions() -> str:
    """The libraries that matter to speed, with their versions."""
    found = []
    for name in LIBRARIES:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            continue
    return ", ".join(found)


def description() -> str:
    """Machine, system and versions in one line."""
    cores = len(os.sched_getaffinity(0))
    return (
        f"{processor()}, {cores} cores, {memory_gib():.0f} GiB, {platform.system()} {platform.release()}, "
        f"Python {platform.python_version()}; {versions()}"
    )
