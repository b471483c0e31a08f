"""Every number of a document people write, found by walking its JSON Schema."""

import json
from collections.abc import Iterator
from typing import Any

from strapline.ground.schema import schemas

Place = tuple[str, ...]


def numbers_of(document: str) -> dict[Place, dict[str, Any]]:
    """The schema of each number by its place; '*' is any entry of a list or mapping."""
    schema = json.loads(schemas()[f"{document}.schema.json"])
    return dict(_numbers(schema, schema, ()))


def _numbers(
    schema: dict[str, Any], node: dict[str, Any], place: Place
) -> Iterator[tuple[Place, dict[str, Any]]]:
    if "$ref" in node:
        node = schema["$defs"][node["$ref"].rsplit("/", 1)[-1]]
    if node.get("type") in ("number", "integer"):
        yield place, node
    for option in node.get("anyOf", []):
        yield from _numbers(schema, option, place)
    for key, child in node.get("properties", {}).items():
        yield from _numbers(schema, child, (*place, key))
    further = [node.get("items"), node.get("additionalProperties")]
    for child in [*further, *node.get("patternProperties", {}).values()]:
        if isinstance(child, dict):
            yield from _numbers(schema, child, (*place, "*"))
