"""Mends of Snakemake, each made only where Snakemake is still what it was written for.

What is mended, and what a mend looks at, is mostly private to Snakemake: another release may call
it otherwise. A run then goes on without that mend, and says so in one line.
"""

import inspect
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.metadata import version
from typing import Any, NamedTuple

# As in pyproject.toml.
TESTED = "9.27"

# What Python says of a thing that is not there, or not what it was.
UNLIKE = (AttributeError, TypeError, LookupError)


class Mend(NamedTuple):
    """`name` of a class of Snakemake's, called as 'snakemake.dag:DAG'; its `signature` as
    `signature_of` gives it; and `mended`, which makes the new function of the old one."""

    owner: str
    name: str
    signature: str
    mended: Callable[[Any], Any]

    @property
    def place(self) -> str:
        return f"{self.owner.partition(':')[2]}.{self.name}"


class Mending:
    """What this run mends, and what it could not: that is said once."""

    def __init__(self) -> None:
        self._release = version("snakemake")
        self._told = False

    @property
    def is_tested(self) -> bool:
        return self._release == TESTED or self._release.startswith(f"{TESTED}.")

    def mend(self, *mends: Mend) -> bool:
        """Make all of these, or none; whether they were made."""
        if not self.is_tested:
            self._say(f"it was tested with {TESTED}")
            return False
        unknown = [each.place for each in mends if _original(each) is None]
        if unknown:
            self._say(f"it knows no such {', '.join(unknown)}")
            return False
        for each in mends:
            owner, original = _owner(each), _original(each)
            is_property = isinstance(original, property)
            new = each.mended(original.fget if is_property else original)
            setattr(owner, each.name, property(new) if is_property else new)
        return True

    @contextmanager
    def trying(self, place: str) -> Iterator[None]:
        """Leave undone the rest of what is within, where Snakemake's objects turn out otherwise."""
        try:
            yield
        except UNLIKE as error:
            self._say(f"it has another {place}: {error}")

    def _say(self, why: str) -> None:
        if not self._told:
            self._told = True
            print(
                f"Strapline does not know this Snakemake, {self._release}, well enough ({why}): "
                "it goes on without some of its mends, and may be slow or redo too little.",
                file=sys.stderr,
            )


def signature_of(original: Any) -> str:
    """'async (self, job)', 'property (self)', '(self, delay)'; defaults and types left out."""
    function: Any = original.fget if isinstance(original, property) else original
    kind = "property " if function is not original else ""
    kind += "async " if inspect.iscoroutinefunction(function) else ""
    return f"{kind}({', '.join(inspect.signature(function).parameters)})"


def _owner(mend: Mend) -> Any:
    # Its modules import one another, and only so in an order that works.
    import_module("snakemake.api")
    module, _, name = mend.owner.partition(":")
    return getattr(import_module(module), name)


def _original(mend: Mend) -> Any:
    """None where there is no such thing, or it is another."""
    try:
        original = vars(_owner(mend))[mend.name]
        return original if signature_of(original) == mend.signature else None
    except (ImportError, ValueError, *UNLIKE):
        return None
