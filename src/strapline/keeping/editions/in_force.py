"""What results depend on, as it was in force when they were made."""

from typing import Any

from strapline.ground.documents import Strict
from strapline.ground.records.intake import SessionIntake

# Libraries whose rounding or choices could move a figure.
LIBRARIES = ("python", "numpy", "pandas", "pyarrow", "scipy")


class Sources(Strict):
    """Of one session: the SHA-256 of each recording's export and, where it has one, of its card."""

    exports: dict[str, str | None]
    card: str | None = None


class Stage(Strict):
    """The fingerprint of a stage's code, and the settings it was given."""

    code: str
    settings: dict[str, dict[str, Any]]


class InForce(Strict):
    """Sessions and stages by name, the register of devices as text, and library versions."""

    sessions: dict[str, Sources]
    stages: dict[str, Stage]
    devices: str
    versions: dict[str, str]


def sources_of(session: SessionIntake) -> Sources:
    """What a session was made of."""
    return Sources(
        exports={entry.recording: entry.sha256 or None for entry in session.recordings},
        card=session.card_sha256,
    )
