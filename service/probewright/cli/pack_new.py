"""``probewright pack new``."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path

from probewright.cli.common import Exit

_TOLD = "write a new pack that installs, passes its own tests, and is there to be changed"
_EPILOG = """\
The pack models a small invented appliance until you replace that. Nothing is installed; what to do next is printed.
exit codes: 0 written; 2 a name that a pack cannot have, or a folder that is not empty or cannot be written to.
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Describe the command."""
    command = commands.add_parser(
        "new", help=_TOLD, description=f"{_TOLD[0].upper()}{_TOLD[1:]}.", epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    command.add_argument("name", metavar="NAME", help="of the family, in snake_case: ice_maker")
    command.add_argument("--title", help="what people call it (the name in words)")
    command.add_argument("--directory", type=Path, metavar="DIR", help="an empty folder, or one to be made "
                         "(probewright-pack-NAME, here)")  # fmt: skip
    command.add_argument("--no-circuit", action="store_true", help="state distributions and tables, and no wiring")
    command.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> Exit:
    from probewright.kit import NewPack, checked_name, checked_title, write  # noqa: PLC0415  loads the contract

    name = checked_name(given.name)
    title = name.replace("_", " ").capitalize() if given.title is None else given.title
    pack = NewPack(name, checked_title(title), circuit=not given.no_circuit)
    folder = Path(pack.distribution) if given.directory is None else given.directory
    written = write(pack, folder)
    sys.stdout.write(_next(pack.name, folder, len(written)))
    return Exit.OK


def _next(name: str, folder: Path, count: int) -> str:
    lines = [
        f"{count} files written to {folder}. Next:",
        f"  cd {shlex.quote(str(folder))}",
        "  python -m pip install --editable '.[test]'",
        "  python -m pytest",
        f"  probewright pack check {name}",
        "README.md says what to replace, and in which order.",
    ]
    return "\n".join(lines) + "\n"
