"""How a run that cannot begin says so: its sentences alone, and exit code 2."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from strapline.ground.documents import DocumentError


@contextmanager
def refusing(only_say: bool = False) -> Iterator[None]:
    """End the run where what is done within raises DocumentError; or only tell its sentences."""
    try:
        yield
    except DocumentError as error:
        print(error, file=sys.stderr)
        if not only_say:
            sys.exit(2)
