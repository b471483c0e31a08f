"""Each word of the domain is typed once, in `strapline.ground.vocabulary`."""

import ast
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path

import pytest

from strapline.ground import vocabulary
from strapline.ground.vocabulary import (
    Clocks,
    Decision,
    Faulty,
    FileClock,
    Flag,
    NoticeKind,
    Placement,
    Role,
    SensorKind,
    TimeSource,
)

SOURCE = Path(vocabulary.__file__).parents[1]
HOME = Path(vocabulary.__file__)

SETS = [
    each
    for each in vars(vocabulary).values()
    if isinstance(each, type) and issubclass(each, StrEnum) and each is not StrEnum
]
WORDS = {str(member): each for each in SETS for member in each}

# Words that also name something else, and what; they are looked for only where HELD says.
ALSO = {
    "channels": "a table",
    "bench": "the devices under test",
    "reference": "a column",
    "set_aside": "a column",
    "kept": "a column",
    "zero": "a line in a chart",
    "clock": "a key of the card",
    "elapsed": "what a heading means",
    "utc": "in headings, and a scale of a chart",
    "first": "an ordinal",
    "second": "an ordinal",
    "stated": "what an app shows",
    "chest": "in names of files",
    "other": "a sport, and the other of two",
    "test": "what people call their files",
    "phone": "a size of pictures",
}

# By what columns, fields, parameters and keys are called that hold such a word.
HELD = {
    "decision": {*Decision},
    "alignment": {*Clocks},
    "view": {*Clocks},
    "clock": {*FileClock},
    "faulty": {*Faulty},
    "flag": {*Flag},
    "use": {*Flag},
    "role": {*Role},
    "placement": {*Placement},
    "kind": {*NoticeKind, *SensorKind},
    "device_kind": {*SensorKind},
    "time_from": {*TimeSource},
}


def retyped(source: str) -> list[str]:
    """Each literal in `source` that is a word of the vocabulary, with its line."""
    tree = ast.parse(source)
    shown = {id(value) for value in wordings(tree)}
    literals = {
        id(node): node
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in shown
    }
    found = [node for node in literals.values() if node.value in WORDS.keys() - ALSO]
    found += [
        literal
        for holder, value in held(tree)
        for literal in ast.walk(value)
        if id(literal) in literals and literal.value in HELD.get(str(holder), set()) & ALSO.keys()
    ]
    return sorted({f"line {node.lineno}: {node.value!r}" for node in found})


def wordings(tree: ast.Module) -> Iterator[ast.expr]:
    """How a word of the vocabulary is shown: what stands under it in a dictionary, or in a lane."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Dict):
            pairs = zip(node.keys, node.values, strict=True)
            yield from (value for key, value in pairs if isinstance(key, ast.Attribute))
        elif isinstance(node, ast.keyword) and node.arg == "lane":
            yield node.value


def held(tree: ast.Module) -> Iterator[tuple[str | None, ast.expr]]:
    """What something is compared with, set to or given as, by the name of that something."""
    for node in ast.walk(tree):
        match node:
            case ast.Compare(left=left, comparators=[right]):
                yield from ((called(left), right), (called(right), left))
            case ast.keyword(arg=name, value=value):
                yield name, value
            case ast.AnnAssign(target=target, annotation=annotation, value=value):
                yield called(target), annotation
                if value is not None:
                    yield called(target), value
            case ast.Assign(targets=[target], value=value):
                yield called(target), value
            case ast.Dict(keys=keys, values=values):
                yield from (
                    (key.value, value)
                    for key, value in zip(keys, values, strict=True)
                    if isinstance(key, ast.Constant)
                )
            case ast.Call(func=ast.Attribute(value=column, attr="isin" | "mask" | "where")):
                yield from ((called(column), value) for value in node.args)
            case ast.arguments():
                named = [*node.posonlyargs, *node.args]
                given = node.defaults
                yield from zip(
                    (a.arg for a in named[len(named) - len(given) :]), given, strict=True
                )


def called(node: ast.expr) -> str | None:
    """The column, field or variable that an expression is."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
        case ast.Subscript(slice=ast.Constant(value=name)):
            return str(name)
    return None


@pytest.mark.parametrize(
    "path",
    [path for path in sorted(SOURCE.rglob("*.py")) if path != HOME],
    ids=lambda path: path.relative_to(SOURCE).as_posix(),
)
def test_each_word_is_typed_once(path: Path) -> None:
    assert retyped(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        'rows["status"] == "compared"',
        'f"{scope}" in ("whole", scope)',
        'kind: Literal["stuck", "high"]',
        'rows["alignment"] == "settled"',
        'def drawn(rows, view="settled"): pass',
        'role: Role = "test"',
        'Notice(kind="clock", text=text)',
        '{"device": name, "placement": "chest"}',
        'known["placement"].mask(twice, "other")',
        'known["role"] = "reference"',
    ],
)
def test_a_word_typed_again_is_found(line: str) -> None:
    assert len(retyped(line)) == 1


@pytest.mark.parametrize(
    "line",
    [
        'rows["reference"].mask(against)',
        '{Fault.STUCK: "stuck"}',
        'known["clock"] = {"time_zone": zone}',
        'match["first"]',
        'counted(sessions, "clock")',
    ],
)
def test_another_thing_of_that_name_is_none(line: str) -> None:
    assert retyped(line) == []


def test_a_word_that_is_also_something_else_is_looked_for_somewhere() -> None:
    assert ALSO.keys() <= set().union(*HELD.values())


def test_a_word_is_written_as_itself() -> None:
    assert [f"{member}" for member in Role] == ["reference", "test"]
