"""How often Python looks for garbage.

A run holds much (Snakemake's jobs, tables, imported libraries) and throws away little that only
such a search finds; left as it is, Python goes through all of it again and again.
"""

import atexit
import gc

# Objects, and searches among younger ones, after which each generation is searched.
THRESHOLDS = (100_000, 50, 1_000)


def search_seldom() -> None:
    """From now on, in this process. What is there already is not gone through at all, and nor is
    anything at the end."""
    gc.freeze()
    gc.set_threshold(*THRESHOLDS)
    atexit.register(gc.freeze)
