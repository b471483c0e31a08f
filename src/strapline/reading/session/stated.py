"""What apps show of a session, beside the device's export or where there is none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from strapline.ground.records.marks import AS_STATED
from strapline.ground.records.register import Device
from strapline.ground.records.stated import StatedIntake
from strapline.ground.vocabulary import Role, SensorKind
from strapline.ground.zones import stated_in_utc

if TYPE_CHECKING:
    from strapline.ground.records.card import Card, Recording
    from strapline.ground.records.register import Register
    from strapline.reading.session.parsed import Candidate


def only_stated(card: Card, found: Sequence[Candidate]) -> list[Recording]:
    """The card's entries of devices under test of which the folder holds no file, and needs none:
    the app's figures stand for them."""
    with_files = {candidate.device for candidate in found}
    return [
        entry
        for entry in card.recordings
        if entry.stated
        and entry.file is None
        and entry.role == Role.TEST
        and entry.leave_out is None
        and entry.device not in with_files
    ]


def stated_of(
    card: Card, found: Sequence[Candidate], register: Register, default_zone: str
) -> tuple[StatedIntake, ...]:
    """What the card says that apps show, in its order; of an export that cannot be used the app's
    figures are all there is."""
    known = [*_beside_files(found, default_zone)]
    for entry in only_stated(card, found):
        described = register.devices.get(entry.device) or Device(
            label=entry.device, kind=SensorKind.OTHER
        )
        known.append(_intake(entry, entry.device, described, None, default_zone))
    return tuple(known)


def _beside_files(found: Sequence[Candidate], default_zone: str) -> Iterator[StatedIntake]:
    for one in found:
        entry = one.entry
        if entry and entry.stated and entry.leave_out is None:
            yield _intake(entry, one.recording, one.described, one, default_zone)


def _intake(
    entry: Recording, recording: str, described: Device, file: Candidate | None, zone: str
) -> StatedIntake:
    assert entry.stated is not None
    has_export = file is not None and file.set_aside is None
    starts_at = entry.clock.starts_at
    return StatedIntake(
        recording=recording,
        device=entry.device,
        label=described.label if has_export else f"{described.label}{AS_STATED}",
        device_kind=described.kind,
        placement=entry.placement,
        firmware=entry.firmware,
        figures=entry.stated,
        has_export=has_export,
        starts_at=starts_at and stated_in_utc(starts_at, entry.clock.time_zone or zone),
    )
