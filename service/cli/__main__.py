"""Run the command line with `python -m service.cli`."""

import sys

from .start import start

if __name__ == "__main__":
    sys.exit(start())
