"""How large a number and how long a unit may be, wherever one comes in."""

from __future__ import annotations

from typing import Final

#: No quantity of an appliance comes near, in any unit; it keeps squares and products finite.
LARGEST_NUMBER: Final = 1e30

#: In characters.
LONGEST_UNIT: Final = 40
