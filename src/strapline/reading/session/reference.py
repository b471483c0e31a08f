"""Which recording is the reference."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from strapline.ground.records.card import FILE_NAME
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.slugs import slug
from strapline.ground.vocabulary import Placement, Role
from strapline.reading.session.parsed import Candidate

# Words in a file's name that tell the reference where nothing better does, in the languages that
# headings are known in.
REFERENCE_WORDS = (
    "strap", "chest", "ecg", "ekg", "reference", "referenz", "belt", "gurt", "brustgurt", "brust",
    "ceinture", "referencia", "pecho", "fascia", "torace", "cinta", "peito", "borstband", "hrm",
)  # fmt: skip

_BY_ITS_KIND = "it comes from a chest strap or electrocardiogram"


def reference_among(usable: Sequence[Candidate]) -> tuple[Candidate | None, str | None]:
    """The reference, and a sentence saying on what grounds if the card does not name it: the first
    ground that holds for one recording alone."""
    stated = [c for c in usable if c.entry and c.entry.role == Role.REFERENCE]
    if stated:
        return stated[0], None
    grounds: tuple[tuple[str, Callable[[Candidate], bool]], ...] = (
        (_BY_ITS_KIND, lambda c: c.registered and _is_reference_device(c)),
        (_BY_ITS_KIND, _is_reference_device),
        ("the card has it on the chest", _is_on_the_chest),
        ("it is the only one with RR intervals", lambda c: c.export.has_beats),
        ("of its name", lambda c: is_called_a_reference(Path(c.export.file).stem)),
        (
            "it is the only one that lists a heart-rate sensor that it was connected to",
            lambda c: c.export.external_sensor is not None,
        ),
    )
    for ground, holds in grounds:
        fitting = [c for c in usable if holds(c)]
        if len(fitting) == 1:
            return fitting[0], f"{fitting[0].recording} is taken as the reference because {ground}."
    return None, None


def straps_told_again(
    found: Sequence[Candidate], reference: Candidate | None
) -> tuple[Candidate, ...]:
    """The candidates, those set aside that a device's file has from a strap while the session has
    its reference: that is no device under test, unless the card names it."""
    return tuple(
        replace(candidate, set_aside=_told_again(reference))
        if reference is not None
        and candidate is not reference
        and candidate.set_aside is None
        and candidate.entry is None
        and candidate.export.is_of_a_strap
        else candidate
        for candidate in found
    )


def _told_again(reference: Candidate) -> str:
    return (
        f"It is a chest strap's heart rate in a device's file, and {reference.recording} is the "
        "session's reference: that is the reference told again, and no device under test. If it "
        f"was another strap, name it in {FILE_NAME} with its file and stream."
    )


def _is_on_the_chest(candidate: Candidate) -> bool:
    return candidate.entry is not None and candidate.entry.placement == Placement.CHEST


def is_called_a_reference(name: str) -> bool:
    """By a word of the name, or by one at the beginning or the end of a word."""
    words = slug(name).split("-")
    return any(
        word.startswith(known) or word.endswith(known)
        for word in words
        for known in REFERENCE_WORDS
    )


def _is_reference_device(candidate: Candidate) -> bool:
    """By the register, by what wrote the file, or by the profile's word for the device."""
    listed = (candidate.export.identity.listed or "").casefold().replace("_", " ").split()
    return candidate.described.kind in REFERENCE_KINDS or (
        not candidate.registered and any(word.startswith("hrm") for word in listed)
    )
