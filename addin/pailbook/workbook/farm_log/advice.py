"""What to do next in a system, in words, besides the remedies of `verdict`."""

from __future__ import annotations

NOT_KNOWN = "Correct the entry that is named under Why. If the meter showed it so, calibrate it and read again."
NEVER, OLD, NO_AMMONIA, WATCH, FINE = (
    "Make the first test.", "Test today: the latest test is too old.", "Test ammonia together with pH and temperature.",
    "Fix the cause shown; test again within 2 days.", "Nothing to do now. Keep testing.",
)
