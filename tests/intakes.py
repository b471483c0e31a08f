"""Sessions and recordings as intake describes them; a test states what it cares about."""

from typing import Any

from strapline.ground.records.card import ClockNote
from strapline.ground.records.intake import RecordingIntake, SessionIntake


def recording(name: str = "watch", **facts: Any) -> RecordingIntake:
    """A device under test that was read whole, called by its name throughout."""
    known = {
        "recording": name,
        "file": f"{name}.csv",
        "sha256": "0" * 64,
        "format": "csv",
        "device": name,
        "label": name,
        "device_kind": "wrist",
        "role": "test",
        "placement": "other",
        "firmware": None,
        "clock": "utc",
        "clock_note": ClockNote(),
        "set_aside": None,
    }
    return RecordingIntake(**known | facts)


def strap(**facts: Any) -> RecordingIntake:
    """The reference."""
    known = {"device_kind": "chest_strap", "role": "reference", "placement": "chest"}
    return recording("strap", **{"label": "Chest strap"} | known | facts)


def session(*recordings: RecordingIntake, name: str = "s-1", **facts: Any) -> SessionIntake:
    """One with a card that says nothing further."""
    known = {
        "session": name,
        "title": name,
        "activity": "run",
        "wearer": "ada",
        "exclude": (),
        "segments": (),
        "conditions": {},
        "notes": None,
        "set_aside": None,
        "notices": (),
    }
    return SessionIntake(recordings=recordings, **known | facts)
