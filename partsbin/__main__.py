"""``python -m partsbin``."""

import sys

from partsbin.cli import main

sys.exit(main())
