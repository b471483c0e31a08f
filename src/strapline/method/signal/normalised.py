"""From what a file says to one heart rate in UTC, nothing dropped without a reason."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pandas as pd

from strapline.ground.records.ledger import Tally
from strapline.ground.tables.recordings import (
    BEATS,
    CHANNELS,
    NORMALISED,
    QUANTITIES,
    SAMPLES,
    first_of_file,
    is_far_off,
    since_1970,
)
from strapline.ground.vocabulary import FileClock, Flag
from strapline.ground.wall_clock import wall_in_utc
from strapline.method.signal.beat_rate import rate_at_seconds
from strapline.method.signal.flags import flag_beats, flag_samples
from strapline.method.signal.grid import epoch_seconds, times_of
from strapline.method.signal.rate_source import source_of
from strapline.method.signal.rr_artefacts import artefact_share_at

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake
    from strapline.ground.settings import Plausibility, RrIntervals

LONGEST_ELAPSED_S = 3e9

RateFrom = Literal["samples", "beats", "nothing"]


@dataclass(frozen=True)
class Normalised:
    """A frame under NORMALISED in order of time, what the file holds besides, under CHANNELS, where
    the rate is from, and the accounts; `said` is a sentence on the choice, where there is something
    to say. Rates among those from beats have no share of artefacts."""

    frame: pd.DataFrame
    channels: pd.DataFrame
    rate_from: RateFrom
    samples: Tally
    beats: Tally
    said: str | None = None


def normalise(
    samples: pd.DataFrame,
    beats: pd.DataFrame,
    entry: RecordingIntake,
    plausibility: Plausibility,
    rr_intervals: RrIntervals,
) -> Normalised:
    """One recording's heart rate.

    samples and beats are frames under SAMPLES and BEATS. RR intervals are preferred to the
    averaged rates beside them in a reference, as far as they go, and in any file without averaged
    rates. Of a history, what lies around the session is counted and left out.
    """
    ours, our_beats = _of_session(samples, entry), _of_session(beats, entry)
    found = _normalised(ours, our_beats, entry, plausibility, rr_intervals)
    return replace(
        found,
        samples=_with_others(found.samples, len(samples) - len(ours)),
        beats=_with_others(found.beats, len(beats) - len(our_beats)),
    )


def _of_session(frame: pd.DataFrame, entry: RecordingIntake) -> pd.DataFrame:
    if entry.within is None:
        return frame
    time, (first, last) = utc_times(frame, entry), entry.within
    return pd.DataFrame(frame[((time >= first) & (time <= last)) | time.isna()])


def _normalised(
    samples: pd.DataFrame,
    beats: pd.DataFrame,
    entry: RecordingIntake,
    plausibility: Plausibility,
    rr_intervals: RrIntervals,
) -> Normalised:
    if entry.set_aside is not None:
        return Normalised(
            NORMALISED.empty(),
            CHANNELS.empty(),
            "nothing",
            _all_left_out(len(samples), "recording_set_aside"),
            _all_left_out(len(beats), "recording_set_aside"),
        )
    frame = _flagged(samples, entry, plausibility)
    beat_end = utc_times(beats, entry)
    beat_flags = flag_beats(beats["rr_ms"].to_numpy(), plausibility, rr_intervals)
    beat_flags[is_far_off(beat_end).to_numpy()] = Flag.FAR_OFF_TIME
    beat_flags[beat_end.isna().to_numpy()] = Flag.NO_TIME
    known = frame[frame["flag"] == Flag.KEPT].sort_values("time", kind="stable")
    timed = _timed(beat_end, beats["rr_ms"], beat_flags)
    source = source_of(
        epoch_seconds(known["time"]),
        known["heart_rate_bpm"].to_numpy(),
        epoch_seconds(timed["end"]),
        timed["rr_ms"].to_numpy(),
        timed["kept"].to_numpy(dtype=bool),
        entry,
    )
    if source.use == "rates":
        return Normalised(
            _in_order(frame),
            _channels(frame, with_rate=False),
            "samples",
            Tally.of(len(samples), frame["flag"], Flag.KEPT),
            _all_left_out(len(beats), "averaged_rate_used_instead"),
            source.said,
        )
    rates = known[np.isin(np.round(epoch_seconds(known["time"])), source.only_rates_s)]
    by_beats = _from_beats(timed, entry, rr_intervals.window_s)
    return Normalised(
        _filled(by_beats, rates, source.only_rates_s),
        _channels(frame, with_rate=True),
        "beats",
        _left_out_but(len(rates), len(samples), "rr_intervals_used_instead"),
        Tally.of(len(beats), beat_flags, Flag.KEPT),
        source.said,
    )


def marked_at(samples: pd.DataFrame, beats: pd.DataFrame, entry: RecordingIntake) -> float | None:
    """When the marked moment was, in seconds since 1970 by the recording's clock."""
    if entry.marker_s is None:
        return None
    first = utc_times(samples, entry).min()
    if pd.isna(first):
        first = (utc_times(beats, entry) - pd.to_timedelta(beats["rr_ms"], unit="ms")).min()
    return None if pd.isna(first) else float(first.timestamp()) + entry.marker_s


def _flagged(
    samples: pd.DataFrame, entry: RecordingIntake, plausibility: Plausibility
) -> pd.DataFrame:
    frame = samples.assign(time=utc_times(samples, entry), recording=entry.recording)
    return frame.assign(flag=flag_samples(frame, plausibility), artefact_share=np.nan)


def _channels(flagged: pd.DataFrame, with_rate: bool) -> pd.DataFrame:
    """The rows that hold any other quantity, or an averaged rate that is not used, in order of
    time, one a time."""
    usable = flagged["flag"].eq(Flag.KEPT) & with_rate
    frame = flagged.assign(heart_rate_bpm=flagged["heart_rate_bpm"].where(usable))
    held = frame[["heart_rate_bpm", *QUANTITIES]].notna().any(axis=1)
    timed = frame[held & frame["time"].notna() & ~is_far_off(frame["time"])]
    ordered = timed.sort_values("time", kind="stable").drop_duplicates("time")
    return ordered[CHANNELS.column_names].reset_index(drop=True)


def _in_order(flagged: pd.DataFrame) -> pd.DataFrame:
    ordered = flagged.sort_values("time", kind="stable")
    return ordered[NORMALISED.column_names].reset_index(drop=True)


def utc_times(frame: pd.DataFrame, entry: RecordingIntake) -> pd.Series[Any]:
    """Times of samples or RR intervals in UTC, after the card's notes and what was inferred."""
    frame = _in_its_unit(frame, entry)
    time, note = frame["time"], entry.clock_note
    if note.starts_at is not None:
        stated = since_1970(time) if time.notna().any() else frame["elapsed_s"]
        first_s = _own_first_s(frame) if entry.first_s is None else entry.first_s
        elapsed = stated - (first_s or 0.0)
        # Beyond a century, pandas has no name for the moment; such a time is none.
        credible = elapsed.where(elapsed.abs() < LONGEST_ELAPSED_S)
        since_start = pd.to_timedelta((credible * 1000).round(), unit="ms")
        placed: pd.Series[Any] = pd.Timestamp(note.starts_at) + since_start
        return placed.astype("datetime64[ms, UTC]")
    if entry.clock == FileClock.LOCAL:
        return wall_in_utc(time, note.time_zone or "UTC")
    return time


def _in_its_unit(frame: pd.DataFrame, entry: RecordingIntake) -> pd.DataFrame:
    """With times as far from the file's first as its unit makes them."""
    if entry.time_scale == 1 or entry.first_s is None:
        return frame
    first = pd.Timestamp(round(entry.first_s * 1000), unit="ms", tz="UTC")
    return frame.assign(
        time=(first + (frame["time"] - first) * entry.time_scale).dt.round("ms"),
        elapsed_s=entry.first_s + (frame["elapsed_s"] - entry.first_s) * entry.time_scale,
    )


def _own_first_s(frame: pd.DataFrame) -> float | None:
    if "rr_ms" in frame:
        return first_of_file(SAMPLES.empty(), frame)
    return first_of_file(frame, BEATS.empty())


def _timed(end: pd.Series, rr_ms: pd.Series, flags: np.ndarray) -> pd.DataFrame:
    """The intervals that have a time, in its order (columns end, rr_ms, kept)."""
    placed = ~np.isin(flags, [Flag.NO_TIME, Flag.FAR_OFF_TIME])
    timed = pd.DataFrame({"end": end, "rr_ms": rr_ms, "kept": flags == Flag.KEPT})[placed]
    return timed.sort_values("end", kind="stable")


def _from_beats(timed: pd.DataFrame, entry: RecordingIntake, window_s: float) -> pd.DataFrame:
    end_s, kept = epoch_seconds(timed["end"]), timed["kept"].to_numpy(dtype=bool)
    seconds, rate = rate_at_seconds(end_s, timed["rr_ms"].to_numpy(), kept, window_s)
    return NORMALISED.frame(
        {
            "recording": np.full(seconds.size, entry.recording, dtype=object),
            "ordinal": np.arange(seconds.size),
            "time": times_of(seconds),
            "heart_rate_bpm": rate,
            "flag": np.where(np.isnan(rate), Flag.NO_VALUE, Flag.KEPT),
            "artefact_share": artefact_share_at(seconds, end_s, ~kept),
        }
    )


def _filled(by_beats: pd.DataFrame, rates: pd.DataFrame, only_rates_s: np.ndarray) -> pd.DataFrame:
    """The rate from RR intervals, with the averaged rates in the seconds that have only those."""
    if not only_rates_s.size:
        return by_beats
    empty = by_beats["heart_rate_bpm"].isna()
    by_beats = by_beats[~(empty & np.isin(epoch_seconds(by_beats["time"]), only_rates_s))]
    has_beats = np.isin(np.round(epoch_seconds(rates["time"])), epoch_seconds(by_beats["time"]))
    both = NORMALISED.joined([by_beats, rates.loc[~has_beats, NORMALISED.column_names]])
    return both.sort_values("time", kind="stable").reset_index(drop=True)


def _all_left_out(count: int, reason: str) -> Tally:
    return _left_out_but(0, count, reason)


def _with_others(tally: Tally, others: int) -> Tally:
    """With those of a history that are not of the session."""
    if not others:
        return tally
    left_out = dict(sorted({**tally.left_out, "outside_the_session": others}.items()))
    return Tally(total=tally.total + others, used=tally.used, left_out=left_out)


def _left_out_but(used: int, count: int, reason: str) -> Tally:
    left_out = count - used
    return Tally(total=count, used=used, left_out={reason: left_out} if left_out else {})
