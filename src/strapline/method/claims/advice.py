"""What to do differently, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from strapline.ground.words import listed

REMEMBER, FIRMWARE = "While you remember", "the firmware of "


class Advice(NamedTuple):
    """A thing to do differently, in a sentence or, after a `lead` that several may share, in a part
    of one; `once`: what it is about, where it holds for the whole bench and need not be told for
    every session."""

    text: str
    once: str = ""
    lead: str = ""

    @property
    def is_for_card(self) -> bool:
        return self.lead.startswith(REMEMBER)


def sentences(advice: Iterable[Advice]) -> list[str]:
    """A sentence each; what has the same lead in one."""
    found: dict[str, list[str]] = {}
    for each in advice:
        found.setdefault(each.lead or each.text, []).append(each.text)
    return [
        lead if texts == [lead] else f"{lead}: {listed(_of_firmware(texts))}."
        for lead, texts in found.items()
    ]


def _of_firmware(texts: Sequence[str]) -> list[str]:
    """With what is said of several devices' firmware in one part."""
    named = [text.removeprefix(FIRMWARE) for text in texts if text.startswith(FIRMWARE)]
    others = [text for text in texts if not text.startswith(FIRMWARE)]
    return [*others, *([f"{FIRMWARE}{listed(named)}"] if named else [])]
