"""Archive chart: every session's error -> one picture of each device at each activity."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from strapline.charts.render import save
from strapline.charts.standings import standings
from strapline.tables.archive import DEVICES, STANDINGS
from strapline.tables.sessions import METRICS

if TYPE_CHECKING:
    from strapline.settings import Presentation

VIEW = "aligned"


def run(
    *,
    metrics: str,
    standings_table: str,
    devices: str,
    spec: str,
    svg: str,
    png: str,
    bench: str,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look."""
    known = DEVICES.read(devices)
    labels = dict(zip(known["device"], known["label"], strict=True))
    chart = standings(
        METRICS.read(metrics),
        STANDINGS.read(standings_table),
        presentation,
        labels,
        VIEW,
        json.loads(bench),
    )
    save(chart, spec=spec, svg=svg, png=png)
