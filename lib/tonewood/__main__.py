"""python -m tonewood: the same as the command tonewood."""

import sys

from tonewood.panel.open import main

if __name__ == "__main__":
    sys.exit(main())
