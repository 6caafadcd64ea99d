"""Run the command line with `python -m service.cli`."""

import sys

from .main import main

sys.exit(main())
