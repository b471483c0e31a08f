"""Archive chart: what all sessions give -> the pictures of the first page and of each device's.

One step, for whichever worker draws first takes as long as several pictures to make ready.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.tables.archive import DEVICES, FINDINGS, PLACEMENTS, SESSIONS, STANDINGS
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.telling.charts.device_charts import device_charts as charts_of_device
from strapline.telling.charts.heat import heat_table
from strapline.telling.charts.render import save_all
from strapline.telling.charts.sessions_map import sessions_map
from strapline.telling.charts.standings import standings
from strapline.telling.charts.worn import worn_table

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def run(
    *,
    whole_sessions: str,
    standings_table: str,
    findings_table: str,
    sessions: str,
    placements: str,
    devices: str,
    charts: str,
    device_charts: str,
    bench: str,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look.

    Writes `charts`/<name>.svg and .vl.json for each chart of the archive, and
    `device_charts`/<device>/ with the same for every device with a finding.
    """
    known, figures, table, findings = (
        DEVICES.read(devices),
        WHOLE_SESSIONS.read(whole_sessions, scope=[Scope.WHOLE]),
        STANDINGS.read(standings_table),
        FINDINGS.read(findings_table),
    )
    labels = dict(zip(known["device"], known["label"], strict=True))
    worn = worn_table(PLACEMENTS.read(placements), SESSIONS.read(sessions), figures)
    order = json.loads(bench)
    drawn = {
        "standings": standings(figures, table, presentation, labels, bench=order),
        "heat-table": heat_table(table, presentation, labels),
        "sessions-map": sessions_map(worn, presentation, labels),
    }
    save_all(drawn, Path(charts))
    Path(device_charts).mkdir(parents=True, exist_ok=True)
    for device in sorted(set(findings["device"].astype(str))):
        own = charts_of_device(device, labels[device], findings, worn, presentation, order)
        save_all(own, Path(device_charts, device))
