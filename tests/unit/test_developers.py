"""DEVELOPERS.md: the drawing of the house, its paths and its words, held to what is there."""

import ast
import re
from pathlib import Path

import pytest

from strapline.method.episodes.kinds import in_order
from strapline.running import closing
from strapline.running.commands import COMMANDS, command_of
from strapline.telling.report.glossary import WORDS


@pytest.fixture
def text(repository):
    return (repository / "DEVELOPERS.md").read_text("utf-8")


def table(text, heading):
    """The cells of each row of the table whose first column is so headed."""
    rows = text.partition(f"| {heading}")[2].partition("\n\n")[0].splitlines()[2:]
    return [[cell.strip() for cell in row.strip("|").split(" | ")] for row in rows]


def strings(path):
    nodes = ast.walk(ast.parse(path.read_text("utf-8")))
    return "\n".join(
        n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)
    )


def test_every_room_is_drawn_with_where_to_look_first(text, repository):
    house = repository / "src" / "strapline"
    drawn = {room.strip("`"): look for room, _, look in table(text, "room in")}
    for room, look in drawn.items():
        for name in re.findall(r"`([\w.]+)`", look):
            assert (house / room / name).is_file(), (room, name)
    there = {path.parent.relative_to(house).as_posix() for path in house.rglob("*.py")}
    bare = {".", "method", "reading", "telling"}  # floors that hold rooms alone
    assert drawn.keys() == there - bare


def test_every_path_it_names_is_there(text, repository):
    places = [repository, repository / "src" / "strapline", repository / "tests"]
    named = set(re.findall(r"`((?!results/)[\w.-]+/[\w./-]+)`", text))
    assert len(named) > 40
    assert not {name for name in named if not any((place / name).exists() for place in places)}


def test_kinds_of_faults_are_told_in_the_order_in_which_they_are_believed(text):
    told = re.findall(r"^\d+\. ((?:`\w+`(?:, )?)+):", text, re.MULTILINE)
    assert re.findall(r"\w+", " ".join(told)) == in_order()


def test_what_we_do_not_write_is_not_written(text, repository):
    """Neither in README nor in what commands and the end of a run say."""
    listed = re.search(r"What we do not write:\s+(.*?)\. Tests", text, re.DOTALL)[1].split(", ")
    shunned = [" ".join(word.split()) for word in listed]
    shunned += [name.lower() for word in WORDS for name in word.never]
    assert {"anew", "usable evidence", "reckon"} <= set(shunned)
    sources = [Path(module.__file__) for module in (closing, *map(command_of, COMMANDS))]
    texts = {path.name: strings(path) for path in sources}
    texts["README.md"] = (repository / "README.md").read_text("utf-8")
    for name, said in texts.items():
        plain = " ".join(said.split()).lower()
        found = {word for word in shunned if re.search(rf"\b{re.escape(word)}\b", plain)}
        assert not found, (name, found)
