"""Reading labels back: rasterised as a printer would, decoded by a library that did not encode them."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))  # the helpers beside the tests
