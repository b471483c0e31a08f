"""What source files mean for results, and what they import.

Reading all of the package's takes a second, which is long for a run with nothing to do. So what
was read is kept between runs, by the content of the file.
"""

import ast
import hashlib
import sys
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel, RootModel

from strapline.ground.files import keep_note, model_at

# A tree is another by another Python, and its meaning by another version of this module.
READER = f"{sys.version_info[:2]} {Path(__file__).read_text()}".encode()

# Where a statement holds others.
_BODIES = ("body", "orelse", "handlers", "finalbody", "cases")


class Source(BaseModel):
    """The hash of a file's syntax tree, without comments, docstrings and imports for types only;
    the names that the tree imports."""

    meaning: str
    imports: tuple[str, ...]


class Kept(RootModel[dict[str, Source]]):
    """By the SHA-256 of the file and its reader."""


class Sources:
    """Source files by content, each read once. Those that an earlier process read are taken from
    `kept`; where there is no such file, or it holds something else, all are read anew."""

    def __init__(self, kept: Path | None = None) -> None:
        self._kept = kept
        self._known: dict[str, Source] = {}
        self._used: dict[str, Source] = {}
        if kept is not None and (known := model_at(kept, Kept)):
            self._known = known.root

    def of(self, path: Path) -> Source:
        content = path.read_bytes()
        key = hashlib.sha256(READER + content).hexdigest()
        self._used[key] = self._known.get(key) or self._used.get(key) or read_source(content)
        return self._used[key]

    def keep(self) -> None:
        """Write down what was used."""
        if self._kept is not None and self._used != self._known:
            keep_note(self._kept, Kept(self._used))


def read_source(content: bytes) -> Source:
    tree = meaningful(content)
    meaning = hashlib.sha256(ast.dump(tree).encode()).hexdigest()
    return Source(meaning=meaning, imports=tuple(sorted(set(_imports(tree)))))


def meaningful(content: bytes) -> ast.Module:
    """The syntax tree without what cannot change a result: docstrings and type-only imports."""
    tree = ast.parse(content)
    for node in _statements(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            node.body = [part for part in node.body if not _is_idle(part)] or [ast.Pass()]
    return tree


def _statements(tree: ast.Module) -> Iterator[ast.AST]:
    """The module, and all that may hold statements or is one: expressions are many, and hold
    none."""
    waiting: list[ast.AST] = [tree]
    while waiting:
        node = waiting.pop()
        yield node
        for name in _BODIES:
            waiting += getattr(node, name, ())


def _imports(tree: ast.Module) -> Iterator[str]:
    for node in _statements(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _is_idle(node: ast.stmt) -> bool:
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )
