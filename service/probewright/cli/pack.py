"""``probewright pack ...``: what pack authors and shops do with packs.

Each command is a module with ``add(commands)``, which describes its arguments and imports what does the work only when
it runs.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

from probewright.cli import pack_check, pack_learn, pack_new

_Commands = argparse._SubParsersAction

#: What adds each command, in the order of the help text.
COMMANDS: tuple[Callable[[_Commands[argparse.ArgumentParser]], None], ...] = (
    pack_new.add, pack_check.add, pack_learn.add,
)  # fmt: skip


def add(commands: _Commands[argparse.ArgumentParser]) -> None:
    """Add the group to the command line."""
    told = "write, review and tune packs"
    group = commands.add_parser("pack", help=told, description=f"{told[0].upper()}{told[1:]}.")
    inner = group.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        command(inner)
