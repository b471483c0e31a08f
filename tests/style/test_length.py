"""A function is read at one look: its steps have names, and what is longer is cut into them."""

import ast

import pytest

MOST_LINES = 60


def functions(source):
    """Each with its length in lines, its docstring left out."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            said = node.body[0] if ast.get_docstring(node) is not None else None
            docstring = said.end_lineno - said.lineno + 1 if said else 0
            yield node.name, node.end_lineno - node.lineno + 1 - docstring


def too_long(source):
    return {name: lines for name, lines in functions(source) if lines > MOST_LINES}


def test_no_function_is_longer_than_a_look(repository):
    files = sorted((repository / "src").rglob("*.py"))
    assert len(files) > 200
    found = {str(file): too_long(file.read_text("utf-8")) for file in files}
    assert {file: names for file, names in found.items() if names} == {}


@pytest.mark.parametrize(("lines", "found"), [(MOST_LINES - 1, {}), (MOST_LINES, {"f": 61})])
def test_the_docstring_does_not_count(lines, found):
    docstring = '    """What it gives.\n\n    More of it."""\n'
    assert too_long(f"def f():\n{docstring}" + "    pass\n" * lines) == found
