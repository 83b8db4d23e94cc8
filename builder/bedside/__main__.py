"""`python -m bedside` is the same as `bedside`."""

import sys

from bedside.cli import main

if __name__ == "__main__":
    sys.exit(main())
