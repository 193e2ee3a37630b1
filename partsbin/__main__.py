"""``python -m partsbin``."""

import sys

from partsbin.start import main

if __name__ == "__main__":
    sys.exit(main())
