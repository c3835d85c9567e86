"""`python -m wearmodel`."""

import sys

from wearmodel.cli import main

sys.exit(main())
