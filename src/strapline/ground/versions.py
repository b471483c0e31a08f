"""Which versions compute: of Strapline, of Python, and of the libraries that figures pass through.

Another version of a library that computes is another method for the stages that use it (see
strapline.keeping.provenance); no step imports this, so that one of the others makes nothing anew.
"""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.metadata import version
from platform import python_version

STRAPLINE = "0.1.0"
# What reads exports, and keeps and computes figures.
COMPUTING = ("fitdecode", "numpy", "pandas", "pyarrow", "scipy")
# And what draws.
LIBRARIES = (*COMPUTING, "vl-convert-python")
# Those that each of them computes with.
BENEATH = {"pandas": ("numpy",), "scipy": ("numpy",)}

# By name, the versions that had a part in it, in order.
Mixed = dict[str, tuple[str, ...]]


@cache
def versions() -> dict[str, str]:
    """Those of this process, by name."""
    own = {"python": python_version(), "strapline": STRAPLINE}
    return own | {name: version(name) for name in LIBRARIES}


def mixed(each: Iterable[Mapping[str, str]]) -> Mixed:
    """Those of several jobs, together."""
    found: dict[str, set[str]] = {}
    for one in each:
        for name, number in one.items():
            found.setdefault(name, set()).add(number)
    return {name: tuple(sorted(numbers)) for name, numbers in sorted(found.items())}


def told(found: Mixed) -> list[str]:
    """'Made with numpy 2.4.0, python 3.11.7.', and what was made with more than one, if any."""
    if not found:
        return ["The versions this was made with were not noted."]
    listed = ", ".join(f"{name} {' and '.join(numbers)}" for name, numbers in found.items())
    several = [name for name, numbers in found.items() if len(numbers) > 1]
    sentences = [f"Made with {listed}."]
    if several:
        sentences.append(
            f"Not all of it with the same {' and '.join(several)}. To compute everything with the "
            "one installed now, type `snakemake --forceall`."
        )
    return sentences
