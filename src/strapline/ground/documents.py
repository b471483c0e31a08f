"""YAML documents people write: read, validated, and every mistake told in a sentence."""

import os
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeVar

import yaml
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from strapline.ground.mistakes import NAME_PATTERN, nearest, sentence, shown

LARGEST_BYTES = 256 * 1024

Document = TypeVar("Document", bound=BaseModel)


class Strict(BaseModel):
    """What never changes once made, and holds no key but its own."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def _telling(heading: str) -> str:
    if not any(map(str.isalnum, heading)):
        raise ValueError("must hold a letter or a digit")
    return heading


# What a bench calls an activity, a wearer and the like.
Word = Annotated[str, Field(pattern=NAME_PATTERN, max_length=40)]


def between(low: float, high: float) -> Any:
    """The range of a number, ends included. Text and yes or no are no numbers."""
    return Field(ge=low, le=high, strict=True)


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
                    problem = f"{shown(key.value)} stands there twice; keep one"
                    raise yaml.constructor.ConstructorError(None, None, problem, key.start_mark)
                seen.add(key.value)
        return super().construct_mapping(node, deep)


class _Dumper(yaml.SafeDumper):
    """Plain values, and words of the vocabulary as what they are."""


_Dumper.add_multi_representer(StrEnum, lambda dumper, word: dumper.represent_str(str(word)))


class DocumentError(ValueError):
    """A document that cannot be used; `mistakes` are sentences naming file, key and remedy."""

    def __init__(self, *mistakes: str) -> None:
        super().__init__(*mistakes)
        self.mistakes = list(mistakes)

    def __str__(self) -> str:
        return "\n".join(self.mistakes)


def load(path: str | os.PathLike[str], model: type[Document]) -> Document:
    """The document at `path` as a `model`. Raises DocumentError."""
    return validated(parse(path), model, Path(path).name)


def validated(content: Any, model: type[Document], name: str) -> Document:
    """What is to be the document `name`, as a `model`. Raises DocumentError."""
    if not isinstance(content, dict):
        raise DocumentError(f"{name}: expected 'key: value' lines, found {shown(content)}.")
    try:
        return model.model_validate(content)
    except ValidationError as error:
        mistakes = [sentence(name, mistake, model) for mistake in error.errors()]
        raise DocumentError(*mistakes) from error


def parse(path: str | os.PathLike[str]) -> Any:
    """The YAML at `path`, not yet validated; an empty file is an empty mapping."""
    name = Path(path).name
    try:
        content = Path(path).read_bytes()
    except FileNotFoundError as error:
        raise DocumentError(f"{path} is not there{_hint(Path(path))}") from error
    except OSError as error:
        raise DocumentError(f"{name}: cannot be read ({error.strerror}).") from error
    if len(content) > LARGEST_BYTES:
        raise DocumentError(f"{name}: larger than {LARGEST_BYTES // 1024} KiB; shorten it.")
    try:
        parsed = yaml.load(content.decode("utf-8-sig"), Loader=_Loader)
    except UnicodeDecodeError as error:
        raise DocumentError(f"{name}: is not UTF-8 text; save it as UTF-8.") from error
    except _NOT_YAML as error:
        raise DocumentError(f"{name}: is not valid YAML{_place(error)}.") from error
    if _is_larger(parsed, 2 * LARGEST_BYTES):
        raise DocumentError(f"{name}: multiplies itself by aliases ('*'); write out what it says.")
    return {} if parsed is None else parsed


def as_yaml(content: dict[str, Any]) -> str:
    """The YAML of plain values, in their order."""
    return yaml.dump(content, Dumper=_Dumper, sort_keys=False, allow_unicode=True)


def _hint(path: Path) -> str:
    """'; did you mean 'settings.yaml'?' where a file of such a name lies in the folder."""
    beside = path.parent.iterdir() if path.parent.is_dir() else ()
    near = nearest(path.name, (file.name for file in beside))
    return f"; did you mean '{near}'?" if near else "."


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
