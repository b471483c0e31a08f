"""Mistakes in a document people write, each told in a sentence that names key and remedy."""

import datetime as dt
import difflib
from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import cache
from typing import Any

from pydantic import BaseModel

NAME_PATTERN = r"^[a-z0-9]+([_-][a-z0-9]+)*$"
CURRENCY_PATTERN = r"^[A-Z]{3}$"
COLOUR_PATTERN = r"^#[0-9a-fA-F]{6}$"

# Fewer begin too many names.
FEWEST_LETTERS = 3

_ALLOWED = {
    NAME_PATTERN: "may hold only lower-case letters, digits, '-' and '_'",
    CURRENCY_PATTERN: "must be three capital letters, such as EUR",
    COLOUR_PATTERN: "must be a colour such as '#1d2433', in quotes",
}

# What is asked for, by pydantic's name for its being otherwise.
_WANTED = {
    "string_type": "text; put it in quotes",
    "tuple_type": "a list, each entry on a line that begins with '- '",
    "model_type": "'key: value' lines",
    "dict_type": "'key: value' lines",
}

# What pydantic calls it where something is no number, or none in its range.
_OF_NUMBERS = {"float_type", "int_type", "greater_than_equal", "less_than_equal"}


def sentence(name: str, mistake: Any, model: type[BaseModel]) -> str:
    """A mistake as pydantic has it, in the document `name` that is to be a `model`."""
    location = mistake["loc"]
    where = f"{name}: {placed(location)}"
    kind = mistake["type"]
    if kind == "extra_forbidden":
        known = list(_node(model, location[:-1]).get("properties", {}))
        return f"{where} is not a known key; {_suggestion(str(location[-1]), known)}."
    if kind == "missing":
        return f"{where} is missing; add it."
    if kind in ("literal_error", "enum"):
        possible = _node(model, location)["enum"]
        return f"{where} is {shown(mistake['input'])}; {_suggestion(mistake['input'], possible)}."
    if kind == "string_pattern_mismatch":
        return f"{where} is {shown(mistake['input'])}; it {_ALLOWED[mistake['ctx']['pattern']]}."
    if kind in _WANTED:
        return f"{where} is {shown(mistake['input'])}; it should be {_WANTED[kind]}."
    range_ = _range(_node(model, location)) if kind in _OF_NUMBERS else None
    if range_ is not None:
        return f"{where} is {shown(mistake['input'])}; it should be {range_}."
    message = mistake["msg"]
    for start in ("Value error, ", "Input ", "String "):
        message = message.removeprefix(start)
    if not location:
        return f"{name} {message}."
    if isinstance(mistake["input"], dict):
        return f"{where} {message}."
    return f"{where} is {shown(mistake['input'])}; it {message}."


def _suggestion(word: Any, known: list[str]) -> str:
    near = nearest(word, known)
    hint = f"did you mean '{near}'? " if near else ""
    return f"{hint}choose from {', '.join(known)}"


def placed(location: Sequence[int | str]) -> str:
    """'body.sex', or: entry 2 of 'recordings': 'clock.offset_s', counted as people count."""
    first = next((at for at, part in enumerate(location) if isinstance(part, int)), None)
    if first is None:
        return f"'{_dotted(location)}'"
    entry = f"entry {int(location[first]) + 1} of '{_dotted(location[:first])}'"
    within = location[first + 1 :]
    return f"{entry}: {placed(within)}" if within else entry


def _dotted(keys: Sequence[int | str]) -> str:
    text = ".".join(map(str, keys))
    return text if len(text) <= 120 and text.isprintable() else shown(text)[1:-1]


def _node(model: type[BaseModel], location: tuple[int | str, ...]) -> dict[str, Any]:
    """The part of the model's JSON Schema that says what is allowed at `location`."""
    schema = _schema(model)
    node: dict[str, Any] = schema
    for part in location:
        node = _resolved(schema, node)
        node = node.get("items", {}) if isinstance(part, int) else _child(node, part)
    return _resolved(schema, node)


# Making it takes far longer than reading it, and a document may hold many mistakes.
@cache
def _schema(model: type[BaseModel]) -> dict[str, Any]:
    return model.model_json_schema()


def _range(node: dict[str, Any]) -> str | None:
    """'a whole number from 1 to 600'; None where the schema states no range."""
    if "minimum" in node and "maximum" in node:
        kind = "a whole number" if node["type"] == "integer" else "a number"
        return f"{kind} from {_plain(node['minimum'])} to {_plain(node['maximum'])}"
    return next((found for option in node.get("anyOf", []) if (found := _range(option))), None)


def _plain(number: float) -> str:
    return str(int(number)) if number == int(number) else str(number)


def _child(node: dict[str, Any], key: str) -> dict[str, Any]:
    by_pattern: dict[str, Any] = next(iter(node.get("patternProperties", {}).values()), {})
    child: dict[str, Any] = node.get("properties", {}).get(key, by_pattern)
    return child


def _resolved(schema: dict[str, Any], node: dict[str, Any]) -> dict[str, Any]:
    for option in node.get("anyOf", []):
        if "$ref" in option:
            node = option
    reference = node.get("$ref")
    return schema["$defs"][reference.rsplit("/", 1)[-1]] if reference else node


def shown(value: Any) -> str:
    """A value as its mistake names it, cut short."""
    text = str(value) if isinstance(value, dt.date) else ""
    # An integer of more than 4,300 digits has no text.
    with suppress(ValueError):
        text = text or repr(value)
    text = text or "a number too long to show"
    return text if len(text) <= 60 else f"{text[:57]}..."


def nearest(word: object, names: Iterable[str]) -> str | None:
    """The first that begins with the word, else the one most like it; None where none is near."""
    known, text = list(names), str(word)
    begun = [name for name in known if len(text) >= FEWEST_LETTERS and name.startswith(text)]
    return next(iter(begun or difflib.get_close_matches(text, known, n=1)), None)
