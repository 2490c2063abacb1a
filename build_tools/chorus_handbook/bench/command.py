"""The `handbook` command as a module, so that a benchmark runs this very installation."""

import sys

from chorus_handbook.cli import main

if __name__ == "__main__":
    sys.exit(main())
