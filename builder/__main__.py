"""`python -m builder` is the same as `bedside`."""

import sys

from builder.cli import main

if __name__ == "__main__":
    sys.exit(main())
