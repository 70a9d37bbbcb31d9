"""``python -m lifecycle`` is the command line."""

import sys

from lifecycle.cli import main

if __name__ == "__main__":
    sys.exit(main())
