"""Device chart: what all sessions give -> the pictures of each device's page."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.agreement.scopes import WHOLE
from strapline.charts.device_charts import device_charts
from strapline.charts.render import save_all
from strapline.charts.worn import worn_table
from strapline.session.described import read_intakes
from strapline.tables.archive import DEVICES, FINDINGS, SESSIONS
from strapline.tables.sessions import WHOLE_SESSIONS

if TYPE_CHECKING:
    from strapline.settings import Presentation


def run(
    *,
    described: list[str],
    whole_sessions: str,
    findings_table: str,
    sessions: str,
    devices: str,
    folder: str,
    bench: str,
    presentation: Presentation,
) -> None:
    """Writes `folder`/<device>/<chart>.svg and .vl.json for every device with a finding."""
    known, findings = DEVICES.read(devices), FINDINGS.read(findings_table)
    labels = dict(zip(known["device"], known["label"], strict=True))
    worn = worn_table(
        read_intakes(described),
        SESSIONS.read(sessions),
        WHOLE_SESSIONS.read(whole_sessions, scope=[WHOLE]),
    )
    Path(folder).mkdir(parents=True, exist_ok=True)
    for device in sorted(set(findings["device"].astype(str))):
        charts = device_charts(
            device, labels[device], findings, worn, presentation, json.loads(bench)
        )
        save_all(charts, Path(folder, device))
