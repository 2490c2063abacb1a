"""Runs the `handbook` command with `python -m`, so that a benchmark measures this installation."""

import sys

from chorus_handbook.cli import main

if __name__ == "__main__":
    sys.exit(main())
