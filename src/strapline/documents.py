"""YAML documents people write: read, validated, and every mistake told in a sentence."""

import datetime as dt
import difflib
import os
from pathlib import Path
from typing import Annotated, Any, TypeVar

import yaml
from pydantic import AfterValidator, BaseModel, Field, ValidationError

LARGEST_BYTES = 256 * 1024

NAME_PATTERN = r"^[a-z0-9]+([_-][a-z0-9]+)*$"
COLOUR_PATTERN = r"^#[0-9a-fA-F]{6}$"

_ALLOWED = {
    NAME_PATTERN: "may hold only lower-case letters, digits, '-' and '_'",
    COLOUR_PATTERN: "must be a colour such as '#1d2433', in quotes",
}

# What is asked for, by pydantic's name for its being otherwise.
_WANTED = {
    "string_type": "text; put it in quotes",
    "tuple_type": "a list, each entry on a line that begins with '- '",
    "model_type": "'key: value' lines",
    "dict_type": "'key: value' lines",
}

Document = TypeVar("Document", bound=BaseModel)


def _telling(heading: str) -> str:
    if not any(map(str.isalnum, heading)):
        raise ValueError("must hold a letter or a digit")
    return heading


# What a bench calls an activity, a wearer and the like.
Word = Annotated[str, Field(pattern=NAME_PATTERN, max_length=40)]

# A heading of a table, as it stands in an export.
Heading = Annotated[str, Field(max_length=120), AfterValidator(_telling)]

# The C loader is ten times faster; it is missing only where PyYAML was built without it.
_SafeLoader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# What the loader raises on text that is no YAML, or on a tag that does not fit its value.
_NOT_YAML = (
    yaml.YAMLError,
    ValueError,
    RecursionError,
    ArithmeticError,
    LookupError,
    AttributeError,
    TypeError,
)


class _Loader(_SafeLoader):  # type: ignore[misc]
    """YAML that says nothing twice: of two equal keys the first would be lost without a word."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> Any:
        seen = set()
        for key, _ in node.value:
            if isinstance(key, yaml.ScalarNode):
                if key.value in seen:
                    problem = f"{_shown(key.value)} stands there twice; keep one"
                    raise yaml.constructor.ConstructorError(None, None, problem, key.start_mark)
                seen.add(key.value)
        return super().construct_mapping(node, deep)


class DocumentError(ValueError):
    """A document that cannot be used; `mistakes` are sentences naming file, key and remedy."""

    def __init__(self, mistakes: list[str]) -> None:
        super().__init__("\n".join(mistakes))
        self.mistakes = mistakes


def load(path: str | os.PathLike[str], model: type[Document]) -> Document:
    """The document at `path` as a `model`. Raises DocumentError."""
    content = parse(path)
    name = Path(path).name
    if not isinstance(content, dict):
        raise DocumentError([f"{name}: expected 'key: value' lines, found {_shown(content)}."])
    try:
        return model.model_validate(content)
    except ValidationError as error:
        mistakes = [_sentence(name, mistake, model) for mistake in error.errors()]
        raise DocumentError(mistakes) from error


def parse(path: str | os.PathLike[str]) -> Any:
    """The YAML at `path`, not yet validated; an empty file is an empty mapping."""
    name = Path(path).name
    try:
        content = Path(path).read_bytes()
    except OSError as error:
        raise DocumentError([f"{name}: cannot be read ({error.strerror})."]) from error
    if len(content) > LARGEST_BYTES:
        raise DocumentError([f"{name}: larger than {LARGEST_BYTES // 1024} KiB; shorten it."])
    try:
        parsed = yaml.load(content.decode("utf-8-sig"), Loader=_Loader)
    except UnicodeDecodeError as error:
        raise DocumentError([f"{name}: is not UTF-8 text; save it as UTF-8."]) from error
    except _NOT_YAML as error:
        raise DocumentError([f"{name}: is not valid YAML{_place(error)}."]) from error
    if _is_larger(parsed, 2 * LARGEST_BYTES):
        raise DocumentError(
            [f"{name}: multiplies itself by aliases ('*'); write out what it says."]
        )
    return {} if parsed is None else parsed


def _is_larger(content: Any, most: int) -> bool:
    """Whether the content, written out, is of more than `most` values and letters.

    No document within LARGEST_BYTES is, unless its aliases stand for each other many times over,
    or for themselves.
    """
    left = [content]
    while left and most >= 0:
        value = left.pop()
        most -= 1 + (len(value) if isinstance(value, str) else 0)
        if isinstance(value, dict):
            left += value.keys()
            left += value.values()
        elif isinstance(value, list | tuple | set):
            left += value
    return most < 0


def _place(error: Exception) -> str:
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None)
    where = f" at line {mark.line + 1}, column {mark.column + 1}" if mark else ""
    return f"{where} ({problem})" if problem else where


def _sentence(name: str, mistake: Any, model: type[BaseModel]) -> str:
    location = mistake["loc"]
    where = f"{name}: '{_dotted(location)}'"
    kind = mistake["type"]
    if kind == "extra_forbidden":
        known = _known_keys(model, location[:-1])
        return f"{where} is not a known key; {_suggestion(str(location[-1]), known)}."
    if kind == "missing":
        return f"{where} is missing; add it."
    if kind in ("literal_error", "enum"):
        options = [option.strip("'") for option in _options(mistake["ctx"]["expected"])]
        return f"{where} is {_shown(mistake['input'])}; {_suggestion(mistake['input'], options)}."
    if kind == "string_pattern_mismatch":
        return f"{where} is {_shown(mistake['input'])}; it {_ALLOWED[mistake['ctx']['pattern']]}."
    if kind in _WANTED:
        return f"{where} is {_shown(mistake['input'])}; it should be {_WANTED[kind]}."
    message = mistake["msg"]
    for start in ("Value error, ", "Input ", "String "):
        message = message.removeprefix(start)
    if not location:
        return f"{name} {message}."
    return f"{where} is {_shown(mistake['input'])}; it {message}."


def _options(expected: str) -> list[str]:
    return expected.replace(" or ", ", ").split(", ")


def _suggestion(word: Any, known: list[str]) -> str:
    near = difflib.get_close_matches(str(word), known, n=1)
    hint = f"did you mean '{near[0]}'? " if near else ""
    return f"{hint}possible are {', '.join(known)}"


def _dotted(location: tuple[int | str, ...]) -> str:
    text = ""
    for part in location:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text if len(text) <= 120 and text.isprintable() else _shown(text)[1:-1]


def _known_keys(model: type[BaseModel], location: tuple[int | str, ...]) -> list[str]:
    """Keys allowed at `location`, found by walking the model's JSON Schema."""
    schema = model.model_json_schema()
    node: dict[str, Any] = schema
    for part in location:
        node = _resolved(schema, node)
        node = node.get("items", {}) if isinstance(part, int) else _child(node, part)
    return list(_resolved(schema, node).get("properties", {}))


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


def _shown(value: Any) -> str:
    text = str(value) if isinstance(value, dt.date) else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
