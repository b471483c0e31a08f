"""Which words of a file are nobody's own: makers, products and sports that its standard lists.

Whatever else a file says in words may hold somebody's name, such as that of a device which a phone
called after its owner; it decides what a file is, and is passed on to no table.
"""

from functools import cache

from fitdecode.profile import FIELD_TYPES

# All that TCX knows (Training Center Database v2, type Sport_t).
TCX_SPORTS = frozenset({"running", "biking", "other"})


def is_maker_or_product(text: str) -> bool:
    names = [name for name in FIELD_TYPES if name == "manufacturer" or name.endswith("_product")]
    return _bare(text) in _listed(*names)


def is_sport(text: str) -> bool:
    return _bare(text) in _listed("sport", "sub_sport") | TCX_SPORTS


@cache
def _listed(*types: str) -> frozenset[str]:
    return frozenset(_bare(word) for name in types for word in FIELD_TYPES[name].enum.values())


def _bare(text: str) -> str:
    return "".join(filter(str.isalnum, str(text).casefold()))
