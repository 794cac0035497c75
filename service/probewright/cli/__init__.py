"""The command line.  May import everything of the service; its submodules import what they need when it is needed.

Exit codes:

- 0: answered;
- 1: answered, and it asks for attention: the next step is to stop or refer, a reading was rejected (``check``), or a
  pack was refused (``packs``);
- 2: the command line, a setting or a file cannot be read, the file is not JSON, or a shop's file is broken;
- 3: the case breaks the contract;
- 4: no pack can be used, or ``--strict`` and one was refused;
- 5: the service itself failed;
- 130: interrupted.
"""

from probewright.cli.main import main

__all__ = ["main"]
