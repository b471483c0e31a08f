"""A session's episodes and courses: from the aligned grid to tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import COURSES, EPISODES
from strapline.ground.vocabulary import Clocks, Fault
from strapline.method.episodes import kinds
from strapline.method.episodes.averages import averages, lag, outline
from strapline.method.episodes.course import course
from strapline.method.episodes.detect import detect
from strapline.method.episodes.faults import that_count
from strapline.method.episodes.not_compared import not_compared
from strapline.method.episodes.testable import not_testable
from strapline.method.episodes.view import View, view_of
from strapline.method.signal.spans import within

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Episodes, Tolerance


def session_episodes(
    aligned: pd.DataFrame,
    cadences: Mapping[str, np.ndarray],
    intake: SessionIntake,
    episodes: Episodes,
    tolerance: Tolerance,
    clocks: Mapping[str, ClockDecision] = MappingProxyType({}),
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Frames under EPISODES and COURSES, from one under ALIGNED.

    By recording, `cadences` gives steps or turns a minute at each of its seconds, and `clocks` what
    was decided of its clock. A recording of which no second was compared has no course.
    """
    found, courses = [], []
    shown_s = {r.recording: r.resolution.shortest_fault_s for r in intake.tested if r.resolution}
    without_delay = {name: view_of(own) for name, own in _by_recording(aligned, Clocks.DELAY_OUT)}
    for recording, own in _by_recording(aligned, Clocks.SETTLED):
        clock, shortest_s = clocks.get(recording), shown_s.get(recording, 1.0)
        delays_s = clock.delays_s if clock else {}
        view = view_of(own, cadences.get(recording), shortest_s, delays_s)
        if not view.compared.any():
            continue
        names = intake.names(recording, str(own["device"].iloc[0]))
        status = own["status"].to_numpy(str)
        found_here, row = _told(view, status, own["time"].iloc[0], names, episodes, tolerance)
        spikes = [(e["start_s"], e["end_s"]) for e in found_here if e["kind"] == Fault.SPIKE]
        row |= averages(view, within(spikes, view.length))
        row["outline"] = outline(view.error_bpm)
        row |= lag(view, without_delay.get(recording), clock.delay_s if clock else None)
        row["clock_is_open"] = clock is not None and not clock.ground
        found += found_here
        courses.append(row)
    rows = EPISODES.from_rows(found)
    faults = that_count(rows)["recording"].astype(str).value_counts()
    counted = [row | {"faults": int(faults.get(row["recording"], 0))} for row in courses]
    return rows, COURSES.from_rows(counted)


def _by_recording(aligned: pd.DataFrame, clocks: Clocks) -> Iterator[tuple[str, pd.DataFrame]]:
    rows = aligned[aligned["alignment"] == clocks]
    for name, own in rows.groupby("recording", observed=True, sort=False):
        yield str(name), own


def _told(
    view: View,
    status: np.ndarray,
    first: pd.Timestamp,
    names: dict[str, str],
    episodes: Episodes,
    tolerance: Tolerance,
) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    detection = detect(view, episodes)
    wrong = within([(each.start_s, each.end_s) for each in detection.episodes], view.length)
    reasons = {kind.key: kind.not_testable(view, episodes) for kind in kinds.KINDS}
    found = [
        names
        | vars(episode)
        | {"start": _after(first, episode.start_s), "end": _after(first, episode.end_s)}
        for episode in (*detection.episodes, *detection.events)
    ]
    return found, names | {
        "length_s": detection.length_s,
        "episodes_s": sum(episode.duration_s for episode in detection.episodes),
        "on_track_s": detection.on_track_s,
        "not_compared_s": detection.not_compared_s,
        **not_compared(status, ~(wrong | view.compared)),
        "not_testable": not_testable({key: why for key, why in reasons.items() if why}),
        **course(view, detection, tolerance),
        "interval_s": view.interval_s,
    }


def _after(first: pd.Timestamp, seconds: int) -> pd.Timestamp:
    return first + pd.Timedelta(seconds=seconds)
