"""Building the tables of an export from the plain values a reader collected."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from strapline.ground.tables.recordings import BEATS, FIRST_STREAM, SAMPLES

Reals = npt.NDArray[np.float64]
Values = Sequence[float | None] | Reals

# Years 1 to 9999: what lies outside is no date anybody meant, and breaks date arithmetic.
_EARLIEST_MS, _LATEST_MS = -62_135_596_800_000.0, 253_402_300_799_999.0


def samples(
    heart_rate: Values,
    times_ms: Values | None = None,
    elapsed_s: Values | None = None,
    cadence: Values | None = None,
    speed: Values | None = None,
    power: Values | None = None,
    stream: int | npt.NDArray[np.int64] = FIRST_STREAM,
) -> pd.DataFrame:
    """A frame under SAMPLES, one row a value of `heart_rate`, in that order.

    `times_ms` are milliseconds since 1970 UTC. None, NaN and infinite values are missing.
    """
    columns = {
        "elapsed_s": elapsed_s,
        "heart_rate_bpm": heart_rate,
        "cadence_per_min": cadence,
        "speed_m_s": speed,
        "power_w": power,
    }
    return SAMPLES.frame(_timed(len(heart_rate), times_ms, columns, stream))


def beats(
    rr_ms: Values,
    times_ms: Values | None = None,
    elapsed_s: Values | None = None,
    stream: int | npt.NDArray[np.int64] = FIRST_STREAM,
) -> pd.DataFrame:
    """A frame under BEATS. `times_ms`, or else `elapsed_s`, are the ends of the intervals; elapsed
    time that is not stated is summed."""
    intervals = reals(rr_ms)
    with np.errstate(over="ignore"):  # absurd intervals may add up to infinity: missing then
        summed_s = np.nancumsum(intervals) / 1000
    ends_s = summed_s if elapsed_s is None else elapsed_s
    columns: dict[str, Values | None] = {"elapsed_s": ends_s, "rr_ms": intervals}
    return BEATS.frame(_timed(len(intervals), times_ms, columns, stream))


def reals(values: Values) -> Reals:
    """`values` as floats, NaN where a value is None or not finite."""
    array = np.array(values, dtype=np.float64)
    array[~np.isfinite(array)] = np.nan
    return array


def _timed(
    length: int,
    times_ms: Values | None,
    columns: dict[str, Values | None],
    stream: int | npt.NDArray[np.int64],
) -> dict[str, object]:
    given: dict[str, object] = {
        name: reals(values) for name, values in columns.items() if values is not None
    }
    given["ordinal"] = np.arange(length)
    given["stream"] = np.broadcast_to(np.asarray(stream, dtype=np.int64), length).copy()
    if times_ms is not None:
        given["time"] = moments(times_ms)
    return given


def moments(times_ms: Values) -> pd.DatetimeIndex:
    """Milliseconds since 1970 as times in UTC, missing where they are no date."""
    milliseconds = reals(times_ms)
    known = (milliseconds >= _EARLIEST_MS) & (milliseconds <= _LATEST_MS)
    found = np.full(len(milliseconds), np.datetime64("NaT"), dtype="datetime64[ms]")
    found[known] = np.round(milliseconds[known]).astype(np.int64).astype("datetime64[ms]")
    return pd.DatetimeIndex(found).tz_localize("UTC")
