"""Tests know what is public, or every change behind it breaks them."""

import ast
import re

import pytest

IN_TEXT = re.compile(r"\b(?:strapline|module|pool)(?:\.\w+)*\._[A-Za-z]\w*")


def is_private(name):
    return name.startswith("_") and not name.startswith("__")


def private_names(source):
    """The private names of the package that a test imports, reads, replaces or has in a script."""
    tree = ast.parse(source)
    nodes = list(ast.walk(tree))
    ours, found = set(), []
    for node in nodes:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("strapline"):
            ours |= {alias.asname or alias.name for alias in node.names}
            found += [alias.name for alias in node.names if is_private(alias.name)]
            found += [part for part in str(node.module).split(".") if is_private(part)]
        elif isinstance(node, ast.Import):
            ours |= {
                alias.asname or alias.name.partition(".")[0]
                for alias in node.names
                if alias.name.startswith("strapline")
            }
    for node in nodes:
        if isinstance(node, ast.Attribute) and is_private(node.attr) and root(node) in ours:
            found.append(node.attr)
        elif isinstance(node, ast.Call) and len(node.args) > 1 and root(node.args[0]) in ours:
            found += [a.value for a in node.args[1:2] if is_name(a) and is_private(a.value)]
        elif is_name(node):
            found += IN_TEXT.findall(node.value)
    return found


def is_name(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def root(node):
    """The name with which an expression begins."""
    while isinstance(node, ast.Attribute | ast.Call | ast.Subscript):
        node = node.func if isinstance(node, ast.Call) else node.value
    return node.id if isinstance(node, ast.Name) else None


def test_no_test_uses_a_private_name(repository):
    files = sorted((repository / "tests").rglob("*.py"))
    assert len(files) > 200
    others = [file for file in files if file.name != "test_private_names.py"]
    found = {file.name: private_names(file.read_text("utf-8")) for file in others}
    assert {name: names for name, names in found.items() if names} == {}


@pytest.mark.parametrize(
    "source",
    [
        "from strapline.pool import _Task",
        "from strapline._pool import Task",
        "from strapline import pool\npool._Task()",
        "import strapline.pool\nstrapline.pool._Task",
        "from strapline import pool as p\nmonkeypatch.setattr(p, '_Task', None)",
        "from strapline.pool import Pool\nPool(2)._submit(1)",
        "monkeypatch.setattr('strapline.pool._Task', None)",
        "SCRIPT = 'from strapline import pool as module; module._lives(1)'",
    ],
)
def test_each_way_to_use_one_is_found(source):
    assert private_names(source)


@pytest.mark.parametrize(
    "source",
    [
        "from snakemake.io import _IOFile",
        "self._own = 1",
        "from strapline import pool\npool.__name__",
    ],
)
def test_names_of_others_are_not(source):
    assert private_names(source) == []
