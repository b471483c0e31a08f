"""Tables of every make: what is read equals what was written, or a sentence says why not."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from strapline.reading.formats import Export, UnreadableExport, read_export

_SOME = settings(
    max_examples=150,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
START = dt.datetime(2026, 3, 2, 18, 5, 17, tzinfo=dt.UTC)


# A start above the table, where its times are only those since then.
STARTS = (
    "# started 2026-03-02T18:05:17Z\n",
    "Start time;2026-03-02 19:05:17 +0100\n\n",
    "Device: x\nRecorded at: 2026-03-02T18:05:17+00:00\n",
)


@dataclass(frozen=True)
class Made:
    """A table's headings and columns, in the order of the file, and what it tells."""

    text: str
    seconds: np.ndarray
    rates: list[np.ndarray]
    has_clock: bool


def _utc(second: float) -> str:
    return (START + dt.timedelta(seconds=second)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _zoned(second: float) -> str:
    zone = dt.timezone(dt.timedelta(hours=2))
    return (START + dt.timedelta(seconds=second)).astimezone(zone).isoformat()


def _java(second: float) -> str:
    zone = dt.timezone(dt.timedelta(hours=-7))
    moment = (START + dt.timedelta(seconds=round(second))).astimezone(zone)
    return f"{moment:%a %b %d %H:%M:%S} PDT {moment:%Y}"


def _clock(second: float) -> str:
    whole = int(second)
    return f"{whole // 3600}:{whole // 60 % 60:02}:{whole % 60:02}"


# Headings and how a time is written under each; True where it tells the date.
TIMES = {
    "timestamp": (_utc, True),
    "date time": (_zoned, True),
    "recorded at": (_java, True),
    "timestamp_epoch": (lambda s: f"{START.timestamp() + s:.3f}", True),
    "time (ms)": (lambda s: f"{(START.timestamp() + s) * 1000:.0f}", True),
    "H:": (lambda s: f"{(START.timestamp() + s) * 1000:.0f}", True),
    "elapsed (s)": (lambda s: f"{s:.3f}", False),
    "elapsed time total": (lambda s: f"{s:.1f}", False),
    "t [ms]": (lambda s: f"{s * 1000:.0f}", False),
    "uptime (s)": (lambda s: f"{9_000_000 + s:.1f}", False),
    "uptime_ms": (lambda s: f"{158_112_000 + 1000 * s:.0f}", False),
    "Zeit (1/10 s)": (lambda s: f"{10 * s:.0f}", False),
    "time (1/100 s)": (lambda s: f"{100 * s:.0f}", False),
    "timer [min]": (lambda s: f"{s / 60:.5f}", False),
    "moving time": (lambda s: f"{int(s) // 60} min {int(s) % 60:02} s", False),
    "Laufzeit (h:mm:ss)": (_clock, False),
}
RATES = {
    "Heart Rate (bpm)": 1.0,
    "HF [Schl./min]": 1.0,
    "Puls (S/min)": 1.0,
    "Hrate": 1.0,
    "hr_hz": 1 / 60,
    "FC (bat./min)": 1.0,
    "Puls (Schläge/15 s)": 1 / 4,
    "pulse (0.1 bpm)": 10.0,
}
# Other columns that could be taken for times or rates, by the row.
OTHERS = {
    "duration": lambda n: "60",
    "lap time": lambda n: str(50 + 7 * (n % 4)),
    "speed": lambda n: f"{3 + n % 5 / 10:.1f}",
    "HR zone": lambda n: str(n % 5),
    "HR max": lambda n: "187",
    "distance": lambda n: str(3 * n),
    "LF": lambda n: str(900 + n),
    "HR (%)": lambda n: str(60 + n % 9),
    "bpm (cadence)": lambda n: str(80 + n % 3),
    "FC moy.": lambda n: str(110 + n % 2),
    "breaths (1/min)": lambda n: str(28 + n % 4),
    "pulse 30 s": lambda n: str(90 + n % 2),
}


@st.composite
def tables(draw: st.DrawFn) -> Made:
    count = draw(st.integers(20, 90))
    pauses = draw(st.lists(st.integers(0, count - 1), max_size=3))
    steps = np.ones(count)
    steps[pauses] = draw(st.integers(5, 40))
    seconds = np.cumsum(steps) - steps[0]
    times = draw(st.lists(st.sampled_from(sorted(TIMES)), min_size=1, max_size=3, unique=True))
    heading = draw(st.sampled_from(sorted(RATES)))
    base = draw(st.integers(55, 160))
    noise = np.random.default_rng(draw(st.integers(0, 99)))
    rates = [np.round(base + 15 * np.sin(np.arange(count) / 9) + noise.normal(0, 1, count))]
    columns = [(heading, [f"{rate * RATES[heading]:.6g}" for rate in rates[0]])]
    if draw(st.booleans()):
        rates.append(np.round(rates[0] + 12 + noise.normal(0, 2, count)))
        columns.append((f"{heading} left", [f"{rate * RATES[heading]:.6g}" for rate in rates[1]]))
    columns += [(name, [TIMES[name][0](second) for second in seconds]) for name in times]
    others = draw(st.lists(st.sampled_from(sorted(OTHERS)), max_size=3, unique=True))
    if heading.startswith("HF"):
        others = [name for name in others if name != "LF"]
    columns += [(name, [OTHERS[name](n) for n in range(count)]) for name in others]
    columns = draw(st.permutations(columns))
    delimiter = draw(st.sampled_from([",", ";", "\t", "|", "    "]))
    rows = [[name for name, _ in columns], *zip(*(cells for _, cells in columns), strict=True)]
    above = draw(st.sampled_from(["", *STARTS]))
    text = above + "\n".join(delimiter.join(row) for row in rows)
    has_clock = bool(above) or any(TIMES[name][1] for name in times)
    return Made(text, seconds, rates, has_clock)


@_SOME
@given(made=tables())
def test_what_is_read_is_what_was_written(made: Made, tmp_path: Path) -> None:
    path = tmp_path / "export"
    path.write_text(made.text, encoding="utf-8")
    try:
        export = read_export(path)
    except UnreadableExport as reason:
        pytest.fail(f"{reason}\n{made.text[:400]}")
    _check(export, made)


def _check(export: Export, made: Made) -> None:
    assert sorted(set(export.samples["stream"])) == list(range(1, len(made.rates) + 1))
    for number, rates in enumerate(made.rates, 1):
        own = export.samples[export.samples["stream"] == number]
        assert own["heart_rate_bpm"].to_numpy() == pytest.approx(rates, abs=0.01)
        if made.has_clock:
            seconds = (own["time"] - START).dt.total_seconds().to_numpy()
        else:
            seconds = (own["elapsed_s"] - own["elapsed_s"].iloc[0]).to_numpy()
        assert seconds == pytest.approx(made.seconds, abs=0.51)


@_SOME
@given(
    mean_ms=st.integers(350, 1100),
    unit=st.sampled_from(["rr (ms)", "RR (s)", "RR (1/1024 s)", "rr"]),
    seed=st.integers(0, 99),
    is_tick=st.booleans(),
    time=st.sampled_from(["elapsed (s)", "t [ms]", "timestamp"]),
)
def test_intervals_are_read_as_they_were(
    mean_ms: int, unit: str, seed: int, is_tick: bool, time: str, tmp_path: Path
) -> None:
    noise = np.random.default_rng(seed).normal(0, 0.02 * mean_ms, 300)
    rr_ms = np.round(mean_ms * (1 + 0.04 * np.sin(np.arange(300) / 5)) + noise)
    ends = np.cumsum(rr_ms) / 1000
    worth = {"RR (s)": 1e-3, "RR (1/1024 s)": 1.024}.get(unit, 1.024 if is_tick else 1.0)
    rows = (
        f"{TIMES[time][0](end)},{rr * worth:.6g}\n" for end, rr in zip(ends, rr_ms, strict=True)
    )
    path = tmp_path / "export"
    path.write_text(f"{time},{unit}\n{''.join(rows)}", encoding="utf-8")
    export = read_export(path)
    assert export.beats["rr_ms"].to_numpy() == pytest.approx(rr_ms, abs=1)
    if is_tick and unit in ("rr (ms)", "rr"):
        assert "1/1024 s" in export.remarks[0]
