"""`python -m strapline <command>`, as `strapline <command>`."""

import sys

from strapline.running.commands import main

if __name__ == "__main__":
    sys.exit(main())
