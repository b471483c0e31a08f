"""More devices in `devices.yaml`, whose text otherwise stays as the tester wrote it."""

import math
from collections.abc import Mapping

import yaml

from strapline.ground.documents import DocumentError
from strapline.ground.records.register import Device

KEY = "devices"
INDENT = "  "


def entries(devices: Mapping[str, Device]) -> str:
    """What stands below `devices:`, a line each, as it is pasted there."""
    return "".join(f"{INDENT}{name}: {_in_braces(device)}\n" for name, device in devices.items())


def _in_braces(device: Device) -> str:
    stated = device.model_dump(mode="json", exclude_defaults=True)
    shown = {"label": device.label, "kind": str(device.kind)} | stated
    text: str = yaml.safe_dump(
        shown, default_flow_style=True, sort_keys=False, allow_unicode=True, width=math.inf
    )
    return text.strip()


def with_devices(text: str, devices: Mapping[str, Device]) -> str:
    """The register's text with more entries below those it has; comments stay. Raises
    DocumentError where `devices` is written in braces, and where they would be cut off."""
    key, value = _devices_in(text)
    added = entries(devices)
    if key is None:
        return f"{text.rstrip()}\n\n{KEY}:\n{added}".lstrip()
    lines = text.splitlines(keepends=True)
    if not value:
        # What follows on that line is `{}`, or nothing but a comment.
        line = lines[key].replace("{}", "", 1).replace("null", "", 1).rstrip()
        return "".join([*lines[:key], f"{line}\n", added, *lines[key + 1 :]])
    if value.flow_style:
        raise DocumentError(
            f"The entries under {KEY}: are in braces; write each on a line of its own first."
        )
    last = _last_line(value)
    if not lines[last].endswith("\n"):
        lines[last] += "\n"
    own = value.start_mark.column
    placed = "".join(
        f"{' ' * own}{line.removeprefix(INDENT)}" for line in added.splitlines(keepends=True)
    )
    return "".join([*lines[: last + 1], placed, *lines[last + 1 :]])


def _devices_in(text: str) -> tuple[int | None, yaml.MappingNode | None]:
    """The line of the key, and its value if that holds anything."""
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    for key, value in root.value if isinstance(root, yaml.MappingNode) else ():
        if key.value == KEY:
            is_filled = isinstance(value, yaml.MappingNode) and value.value
            return key.start_mark.line, value if is_filled else None
    return None, None


def _last_line(node: yaml.Node) -> int:
    """Of the node's last word: its own end is that of the comments behind it."""
    if isinstance(node, yaml.CollectionNode) and node.value and not node.flow_style:
        last = node.value[-1]
        return _last_line(last[1] if isinstance(last, tuple) else last)
    mark = node.end_mark
    return mark.line - (1 if mark.column == 0 and mark.line > node.start_mark.line else 0)
