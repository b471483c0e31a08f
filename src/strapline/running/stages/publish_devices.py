"""Publish devices: what all sessions give -> pictures, words and figures of each device."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.tables.archive import DEVICES, FINDINGS, PLACEMENTS, SESSIONS
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.telling.charts.device_charts import device_charts
from strapline.telling.charts.worn import worn_table
from strapline.telling.publish import sources
from strapline.telling.publish.folder import FRAMES, publish
from strapline.telling.publish.tables import device_markdown, device_rows

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def run(
    *,
    whole_sessions: str,
    findings_table: str,
    sessions: str,
    placements: str,
    devices: str,
    folder: str,
    bench: str,
    edition: str,
    presentation: Presentation,
) -> None:
    """Writes `folder`/<device>/ for every device with a finding; `edition`: the fingerprint of
    what made the findings."""
    known, findings, held = (
        DEVICES.read(devices),
        FINDINGS.read(findings_table),
        SESSIONS.read(sessions),
    )
    labels = dict(zip(known["device"], known["label"], strict=True))
    worn = worn_table(
        PLACEMENTS.read(placements), held, WHOLE_SESSIONS.read(whole_sessions, scope=[Scope.WHOLE])
    )
    Path(folder).mkdir(parents=True, exist_ok=True)
    for device in sorted(set(findings["device"].astype(str))):
        own = held[held["session"].isin(worn.loc[worn["device"] == device, "session"])]
        tables = (device, labels[device], findings, worn, presentation, json.loads(bench))
        rows = device_rows(findings, device)
        publish(
            Path(folder, device),
            {frame: device_charts(*tables, frame) for frame in FRAMES},
            rows,
            device_markdown(rows),
            sources.of_device(labels[device], own, edition),
            presentation.credit,
        )
