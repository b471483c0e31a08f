"""Publish devices: what all sessions give -> pictures, words and figures of each device."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import DEVICE_CHARTS
from strapline.telling.charts.chart import needs_of
from strapline.telling.publish import sources
from strapline.telling.publish.folder import in_frames, publish
from strapline.telling.publish.tables import device_markdown, device_rows

if TYPE_CHECKING:
    from strapline.ground.settings import Palette, Presentation


def run(
    *,
    folder: str,
    bench: str,
    edition: str,
    presentation: Presentation,
    palette: Palette,
    **tables: str,
) -> None:
    """Writes `folder`/<device>/ for every device with a finding; `bench`: JSON list of the
    register's tested devices; `edition`: the fingerprint of what made the findings; `tables`: the
    archive's."""
    archive = ArchiveTables.read(tables, {*needs_of(*DEVICE_CHARTS), "findings", "sessions"})
    Path(folder).mkdir(parents=True, exist_ok=True)
    for device in archive.found:
        own = DeviceTables(device, archive)
        held = archive.sessions[archive.sessions["session"].isin(own.worn["session"])]
        rows = device_rows(archive.findings, device)
        publish(
            Path(folder, device),
            in_frames(DEVICE_CHARTS, own, json.loads(bench)),
            rows,
            device_markdown(rows),
            sources.of_device(own.label, held, edition),
            presentation.credit,
            palette,
        )
