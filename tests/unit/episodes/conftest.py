"""A session of one strap and one watch, as intake describes it."""

import pytest

from strapline.ground.records.card import ClockNote
from strapline.ground.records.intake import RecordingIntake, SessionIntake


def _recording(name, label, role):
    return RecordingIntake(
        recording=name,
        file=f"{name}.csv",
        sha256="0" * 64,
        format="csv",
        device=name,
        label=label,
        device_kind="chest_strap" if role == "reference" else "wrist",
        role=role,
        placement="other",
        firmware=None,
        clock="utc",
        clock_note=ClockNote(),
        set_aside=None,
    )


@pytest.fixture(scope="session")
def intake():
    return SessionIntake(
        session="s-1",
        title="s-1",
        activity="run",
        wearer="w",
        recordings=(
            _recording("strap", "Chest strap", "reference"),
            _recording("watch", "Watch one", "test"),
        ),
        exclude=(),
        segments=(),
        conditions={},
        notes=None,
        set_aside=None,
        notices=(),
    )
