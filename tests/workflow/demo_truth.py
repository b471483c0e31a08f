"""What the demo's bench knows of a session that no table does: each device's error without noise.

The same sensor with the same faults, whose reading wanders not at all, against the true heart rate
over the strap's window; by the seconds and the clocks of the session as it was compared.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from strapline.demo.bench import Bench, Session
from strapline.demo.physiology import simulated_body
from strapline.demo.simulate import simulate
from strapline.demo.wrist import wrist_reading
from strapline.ground.records.alignment import ClockDecision, SessionAlignment


@dataclass(frozen=True)
class Told:
    """One device in one session: what is true of it, and what its tables and sentences say.

    error_bpm
        Noise-free, device minus strap, at each second of the session; NaN where not compared.
    device_bpm, strap_bpm
        What the device stored, and the true heart rate, at each second.
    noise_bpm
        The SD of what the sensor adds to it in an average session.
    lost_s
        Where it stored nothing: spans of seconds, as simulated.
    clock
        What was decided of its clock, with its delay at rises and falls.
    """

    label: str
    error_bpm: np.ndarray
    device_bpm: np.ndarray
    strap_bpm: np.ndarray
    compared: np.ndarray
    noise_bpm: float
    lost_s: list[tuple[int, int]]
    clock: ClockDecision
    episodes: pd.DataFrame
    course: pd.Series
    forms: dict[str, list[str]]

    @property
    def text(self) -> str:
        return " ".join(self.forms["course"] + self.forms["finding"])

    @property
    def spans(self) -> pd.DataFrame:
        return self.episodes[self.episodes["part_of_s"].isna()]


def told(bench: Bench, session: Session, results: Path) -> list[Told]:
    """Of each device of the session, from the tables in `results`."""
    folder = results / "sessions" / session.name
    names = ("aligned", "episodes", "courses", "sentences")
    tables = {name: pd.read_parquet(folder / f"{name}.parquet") for name in names}
    alignment = SessionAlignment.model_validate_json((folder / "alignment.json").read_text("utf-8"))
    clocks = {clock.recording: clock for clock in alignment.clocks}
    courses = [course for _, course in tables["courses"].iterrows()]
    return [_of(bench, session, course, tables, clocks) for course in courses]


def _of(bench, session, course, tables, clocks):
    own = {name: _own(table, course["recording"]) for name, table in tables.items()}
    aligned = own["aligned"][own["aligned"]["alignment"] == "settled"]
    device = str(course["device"])
    body = simulated_body(
        bench.activities[session.activity], bench.wearers[session.wearer], session.name
    )
    _, sensor = bench.tested(device).on(session.start.date())
    still = wrist_reading(body, sensor.model_copy(update={"error_bpm": 0}), session.name, device)
    simulated = simulate(bench, session)
    seconds = (aligned["time"] - pd.Timestamp(session.start)).dt.total_seconds().to_numpy()
    by_strap = seconds - bench.clock_s(session, session.strap)
    by_device = seconds - bench.clock_s(session, device) - clocks[course["recording"]].offset_s
    window = round(bench.straps[session.strap].window_s)
    strap = pd.Series(body.heart_rate_bpm).rolling(window, min_periods=1).mean().to_numpy()
    trace = simulated.traces[device]
    compared = aligned["status"].to_numpy(str) == "compared"
    error = _at(by_device, still.heart_rate_bpm) - _at(by_strap, strap)
    shift = round(float((seconds - by_device)[0] - seconds[0]))
    return Told(
        label=bench.tested(device).product,
        error_bpm=np.where(compared, error, np.nan),
        device_bpm=np.interp(by_device, trace.second, trace.heart_rate_bpm),
        strap_bpm=_at(by_strap, strap),
        compared=compared,
        noise_bpm=sensor.error_bpm,
        lost_s=[
            (fault.start_s + shift, fault.end_s + shift)
            for fault in still.faults
            if fault.kind == "contact_loss"
        ],
        clock=clocks[course["recording"]],
        episodes=own["episodes"],
        course=course,
        forms=own["sentences"].groupby("form", observed=True)["text"].apply(list).to_dict(),
    )


def _own(table, recording):
    return table[table["recording"] == recording]


def _at(seconds, values):
    places = np.clip(np.round(seconds).astype(int), 0, len(values) - 1)
    return values[places]
