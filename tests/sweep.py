"""Whether this run is the full sweep (`.ci/run --long`): the same tests, on much more."""

import os

SWEEP = bool(os.environ.get("BEDSIDE_LONG"))
