"""Archive chart: what all sessions give -> the pictures of the first page and of each device's."""

from __future__ import annotations

import json
from pathlib import Path

from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.chart import needs_of, pictures_of
from strapline.telling.charts.picture import save_all


def run(*, charts: str, device_charts: str, bench: str, **tables: str) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look;
    `tables`: the archive's.

    Writes `charts`/<name>.json for each of ARCHIVE_CHARTS, and
    `device_charts`/<device>/ with the same of DEVICE_CHARTS for every device that was compared.
    """
    needed = needs_of(*ARCHIVE_CHARTS, *DEVICE_CHARTS)
    archive = ArchiveTables.read(tables, {*needed, "standings"})
    register = json.loads(bench)
    save_all(pictures_of(ARCHIVE_CHARTS, archive, register), Path(charts))
    Path(device_charts).mkdir(parents=True, exist_ok=True)
    for device in archive.compared:
        own = pictures_of(DEVICE_CHARTS, DeviceTables(device, archive), register)
        save_all(own, Path(device_charts, device))
