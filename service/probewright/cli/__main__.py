"""``python -m probewright.cli``."""

import sys

from probewright.cli.main import main

sys.exit(main())
