"""Chance that is the same everywhere: every draw is named, and the name is the seed."""

import hashlib

import numpy as np


def generator(*names: str) -> np.random.Generator:
    """A generator seeded by `names`, such as session, device and purpose.

    It depends on nothing else, so files come out equal in any order and any process.
    """
    digest = hashlib.sha256("/".join(names).encode()).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "big")))
