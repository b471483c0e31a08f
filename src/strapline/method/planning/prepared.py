"""A session prepared before the workout: the name of its folder, and its card."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from strapline.ground.documents import DocumentError, as_yaml
from strapline.ground.mistakes import NAME_PATTERN
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.slugs import slug
from strapline.ground.vocabulary import Placement, Role
from strapline.ground.words import plain
from strapline.method.planning.protocol import CONDITIONS, STAYING

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
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
        raise DocumentError(f"The {what} {text!r} needs a letter from a to z or a digit.")
    return slug(text)[:LONGEST_WORD].strip("-")


def folder_name(date: dt.date, outing: Outing, taken: Sequence[str]) -> str:
    """'2026-03-02 intervals', with a number where that is taken, whatever its capitals. What is
    published and handed over lies in folders of that name, so no wearer is in it."""
    name = f"{date.isoformat()} {outing.activity}"
    known = {slug(other) for other in taken}
    number, free = 1, name
    while slug(free) in known:
        number += 1
        free = f"{name} {number}"
    return free


@dataclass(frozen=True)
class Carried:
    """What holds until somebody says otherwise: the firmware of each device as last stated; the
    conditions of the wearer's last session, those that stay and those of that day."""

    firmware: dict[str, str] = field(default_factory=dict)
    staying: dict[str, Any] = field(default_factory=dict)
    of_the_day: dict[str, Any] = field(default_factory=dict)


def carried(intakes: Sequence[SessionIntake], wearer: str) -> Carried:
    """`intakes`: the earliest first."""
    own = [intake.conditions for intake in intakes if intake.wearer == wearer]
    last = own[-1] if own else {}
    return Carried(
        firmware={e.device: e.firmware for i in intakes for e in i.recordings if e.firmware},
        staying={name: value for name, value in last.items() if name in STAYING},
        of_the_day={name: value for name, value in last.items() if name not in STAYING},
    )


def card_text(outing: Outing, register: Register, before: Carried) -> str:
    """A card valid under `Card`, which states all that is known before the workout.

    The references are the register's, the first of them the session's; files are recognised
    when they are there.
    """
    straps = [n for n, device in register.devices.items() if device.kind in REFERENCE_KINDS]
    recordings: list[dict[str, Any]] = [
        {"device": name, "role": Role.REFERENCE, "placement": Placement.CHEST}
        for name in straps[:1]
    ]
    wrists = ((outing.left, Placement.LEFT_WRIST), (outing.right, Placement.RIGHT_WRIST))
    for device, placement in (*wrists, *outing.elsewhere):
        if device is not None:
            recordings.append({"device": device, "placement": str(placement)})
    for recording in recordings:
        if firmware := before.firmware.get(recording["device"]):
            recording["firmware"] = firmware
    content: dict[str, Any] = {"activity": outing.activity}
    if outing.wearer:
        content["wearer"] = outing.wearer
    content["recordings"] = recordings
    if before.staying:
        content["conditions"] = before.staying
    head = [
        "# yaml-language-server: $schema=../../config/schema/session.schema.json",
        "# Files are told by the rules in devices.yaml or by a name that begins with the device's;",
        "# else add `file:` to its entry. Also of use: clock with lap or marker.",
    ]
    return "\n".join([*head, as_yaml(content).rstrip(), *_to_fill_in(before)]) + "\n"


def _to_fill_in(before: Carried) -> Iterator[str]:
    """Conditions that nobody stated yet, and what those of the last session were."""
    yield "# Fill in what is known and take away the signs in front:"
    if not before.staying:
        yield "# conditions:"
    last = {name: f"last time: {plain(str(each))}" for name, each in before.of_the_day.items()}
    for name in dict.fromkeys((*CONDITIONS, *last)):
        if name not in before.staying:
            said = "; ".join(filter(None, (CONDITIONS.get(name), last.get(name))))
            yield f"#   {name}:   # {said}"
