"""What each setting means, as its comment in `settings.yaml` says."""

import os
import re
from pathlib import Path

_LINE = re.compile(r"(?P<indent> *)(?P<name>\w+):(?P<rest>.*)")
_COMMENT = re.compile(r"(?:^|\s)#\s+(.*)$")


def meanings(path: str | os.PathLike[str]) -> dict[str, str]:
    """Dotted name of a setting or section -> the comment that ends its line."""
    found: dict[str, str] = {}
    above: list[tuple[int, str]] = []
    for line in Path(path).read_text("utf-8").splitlines():
        if (match := _LINE.fullmatch(line)) is None:
            continue
        indent = len(match["indent"])
        above = [(depth, name) for depth, name in above if depth < indent]
        above.append((indent, match["name"]))
        if comment := _COMMENT.search(match["rest"]):
            found[".".join(name for _, name in above)] = comment[1].strip()
    return found
