"""python -m shortedge.cli: the same as shortedge."""

import sys

from . import main

sys.exit(main())
