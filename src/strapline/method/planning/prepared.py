"""A session prepared before the workout: the name of its folder, and its card."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from strapline.ground.documents import DocumentError, as_yaml
from strapline.ground.mistakes import NAME_PATTERN
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.slugs import slug
from strapline.ground.vocabulary import Placement, Role
from strapline.method.planning.protocol import CONDITIONS

if TYPE_CHECKING:
    from strapline.ground.records.register import Register
    from strapline.method.planning.schedule import Outing

LONGEST_WORD = 40


def word_of(text: str, what: str) -> str:
    """`text` as cards call an activity or wearer: 'Hill sprints' is hill-sprints.

    Raises DocumentError where it holds no letter or digit a card can hold.
    """
    if re.fullmatch(NAME_PATTERN, text) and len(text) <= LONGEST_WORD:
        return text
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    if not any(map(str.isalnum, plain)):
        raise DocumentError([f"The {what} {text!r} needs a letter from a to z or a digit."])
    return slug(text)[:LONGEST_WORD].strip("-")


def folder_name(date: dt.date, outing: Outing, taken: Sequence[str]) -> str:
    """'2026-03-02 intervals ada', with a number where that is taken, whatever its capitals."""
    words = [date.isoformat(), outing.activity, outing.wearer]
    name = " ".join(word for word in words if word)
    known = {slug(other) for other in taken}
    number, free = 1, name
    while slug(free) in known:
        number += 1
        free = f"{name} {number}"
    return free


def card_text(outing: Outing, register: Register) -> str:
    """A card valid under `Card`, which states all that is known before the workout.

    The references are the register's, the first of them the session's; files are recognised
    when they are there.
    """
    straps = [n for n, device in register.devices.items() if device.kind in REFERENCE_KINDS]
    recordings: list[dict[str, Any]] = [
        {"device": name, "role": Role.REFERENCE, "placement": Placement.CHEST}
        for name in straps[:1]
    ]
    for device, placement in (
        (outing.left, Placement.LEFT_WRIST),
        (outing.right, Placement.RIGHT_WRIST),
    ):
        if device is not None:
            recordings.append({"device": device, "placement": placement})
    content: dict[str, Any] = {"activity": outing.activity}
    if outing.wearer:
        content["wearer"] = outing.wearer
    head = [
        "# yaml-language-server: $schema=../../config/schema/session.schema.json",
        "# Files are told by the rules in devices.yaml or by a name that begins with the device's;",
        "# else add `file:` to its entry. Also of use: firmware, and clock with lap or marker.",
    ]
    tail = [
        "# Fill in what is known and take away the signs in front:",
        "# body: {age_years: , sex: , weight_kg: , maximum_bpm: , resting_bpm: }",
        "# conditions:",
        *(f"#   {name}:   # {meaning}" for name, meaning in CONDITIONS.items()),
    ]
    body = as_yaml(content | {"recordings": recordings})
    return "\n".join([*head, body.rstrip(), *tail]) + "\n"
