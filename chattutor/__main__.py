"""``python -m chattutor`` and the ``chattutor`` script."""

import sys

from chattutor.cli import main

if __name__ == "__main__":
    sys.exit(main())
