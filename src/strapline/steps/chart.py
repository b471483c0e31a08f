"""Chart: a session's tables -> its pictures, each as Vega-Lite JSON, SVG and PNG."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.charts.band_minutes import band_minutes
from strapline.charts.bland_altman import bland_altman
from strapline.charts.error_by_offset import error_by_offset
from strapline.charts.render import save
from strapline.charts.traces import traces
from strapline.session.alignment import SessionAlignment
from strapline.session.intake import read_intake
from strapline.tables.sessions import ALIGNED, CONSEQUENCES, EPISODES, METRICS, OFFSETS

if TYPE_CHECKING:
    from strapline.settings import Presentation, Tolerance

VIEW = "aligned"


def run(
    *,
    intake: str,
    aligned: str,
    metrics: str,
    clocks: str,
    offsets: str,
    found: str,
    consequences: str,
    traces_spec: str,
    traces_svg: str,
    traces_png: str,
    bland_altman_spec: str,
    bland_altman_svg: str,
    bland_altman_png: str,
    error_by_offset_spec: str,
    error_by_offset_svg: str,
    error_by_offset_png: str,
    band_minutes_spec: str,
    band_minutes_svg: str,
    band_minutes_png: str,
    bench: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look."""
    session, devices = read_intake(intake), json.loads(bench)
    grid = ALIGNED.read(aligned)
    view = grid[grid["alignment"] == VIEW]
    save(
        traces(view, session, tolerance, presentation, devices, EPISODES.read(found)),
        spec=traces_spec,
        svg=traces_svg,
        png=traces_png,
    )
    save(
        bland_altman(view, METRICS.read(metrics), session, presentation, devices),
        spec=bland_altman_spec,
        svg=bland_altman_svg,
        png=bland_altman_png,
    )
    decided = SessionAlignment.model_validate_json(Path(clocks).read_bytes())
    save(
        error_by_offset(OFFSETS.read(offsets), decided, session, presentation, devices),
        spec=error_by_offset_spec,
        svg=error_by_offset_svg,
        png=error_by_offset_png,
    )
    told = CONSEQUENCES.read(consequences)
    save(
        band_minutes(told[told["alignment"] == VIEW], session, presentation, devices),
        spec=band_minutes_spec,
        svg=band_minutes_svg,
        png=band_minutes_png,
    )
