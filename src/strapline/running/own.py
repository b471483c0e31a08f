"""The tester's own: settings, devices and wearers, and where inbox and results are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from strapline.ground.documents import load
from strapline.ground.records.register import Register
from strapline.ground.records.wearers import Wearers, load_wearers
from strapline.ground.settings import Settings
from strapline.keeping.receipts import Places


@dataclass(frozen=True)
class Own:
    settings: Settings
    register: Register
    wearers: Wearers
    places: Places


def read_own(
    places: Places, settings_file: Path, devices_file: Path, wearers_file: Path | None = None
) -> Own:
    """Wearers are usually beside the devices. Raises DocumentError with a sentence for every
    mistake in the first document that has one."""
    return Own(
        load(settings_file, Settings),
        load(devices_file, Register),
        load_wearers(wearers_file or devices_file.with_name("wearers.yaml")),
        places,
    )


def devices_beside(settings_file: Path, usual: Path) -> Path:
    """Those beside the settings, where there are any."""
    beside = settings_file.with_name(usual.name)
    return beside if beside.exists() else usual
