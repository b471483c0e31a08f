"""What Snakemake and the pool cost beyond the work itself.

    python tests/benchmarks/overhead.py [sessions] [cores]

Builds an archive of invented sessions (a strap and two watches, ten minutes at one sample a
second) by the workflow, then performs the same steps by plain calls in one warm process, and
prints both, in one run on one machine.
"""

import hashlib
import json
import subprocess
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path

import numpy as np
import pandas as pd

from strapline.provenance import sections_read
from strapline.session.discovery import SessionFolder, read_inbox
from strapline.settings import Settings

REPOSITORY = Path(__file__).resolve().parents[2]
SECONDS = 600
CHARTS = ("traces", "cumulative", "scatter", "bland-altman", "error-by-offset")
SIDES = ("strap", "watch-left", "watch-right")


def write_session(folder: Path) -> None:
    """One invented session; its values are drawn from its name."""
    seed = int.from_bytes(hashlib.sha256(folder.name.encode()).digest()[:8], "big")
    random = np.random.default_rng(seed)
    effort = np.repeat(random.uniform(90, 170, SECONDS // 60), 60)
    rate = pd.Series(effort).ewm(alpha=1 / 30).mean()
    time_of = pd.date_range("2026-01-01T10:00:00Z", periods=SECONDS, freq="s")
    folder.mkdir(parents=True)
    for side in SIDES:
        noise = random.normal(0, 3, SECONDS) if side != "strap" else 0
        values = (rate + noise).round().astype(int)
        frame = pd.DataFrame({"time": time_of, "heart_rate": values})
        frame.to_csv(folder / f"{side}.csv", index=False, date_format="%Y-%m-%dT%H:%M:%SZ")


def by_workflow(folder: Path, cores: int) -> float:
    command = [sys.executable, "-m", "snakemake", "--snakefile", REPOSITORY / "Snakefile"]
    started = time.perf_counter()
    subprocess.run([*command, "--cores", str(cores)], cwd=folder, check=True, capture_output=True)
    return time.perf_counter() - started


def perform(stage: str, settings: Settings, **arguments: object) -> int:
    run = import_module(f"strapline.steps.{stage}").run
    run(**arguments, **settings.only(sections_read(stage)))
    return 1


def session_by_calls(session: SessionFolder, results: Path, settings: Settings) -> int:
    """All of a session's steps; returns how many there were."""
    place = results / "sessions" / session.name
    recordings = place / "recordings"
    charts = place / "charts"
    for made in (recordings, charts, results / "report" / "sessions"):
        made.mkdir(parents=True, exist_ok=True)
    names = list(session.exports)
    samples = {name: str(recordings / f"{name}.parsed.parquet") for name in names}
    beats = {name: str(recordings / f"{name}.beats.parquet") for name in names}
    normalised = {name: str(recordings / f"{name}.parquet") for name in names}
    intake, aligned, clocks = (
        str(place / name) for name in ("intake.json", "aligned.parquet", "alignment.json")
    )
    metrics, ledger = str(place / "metrics.parquet"), str(place / "ledger.json")
    offsets = str(place / "offsets.parquet")
    svgs = [str(charts / f"{name}.svg") for name in CHARTS]
    count = 0
    for name, path in session.exports.items():
        count += perform(
            "parse",
            settings,
            export=str(path),
            samples=samples[name],
            beats=beats[name],
            hints="{}",
        )
    count += perform(
        "intake",
        settings,
        samples=list(samples.values()),
        beats=list(beats.values()),
        card=[],
        intake=intake,
        draft=str(place / "session.draft.yaml"),
        session=session.name,
        title=session.title,
        register=json.dumps({"devices": {}}),
    )
    for name in names:
        count += perform(
            "normalise",
            settings,
            samples=samples[name],
            beats=beats[name],
            intake=intake,
            normalised=normalised[name],
            recording=name,
        )
    every = list(normalised.values())
    count += perform(
        "align",
        settings,
        intake=intake,
        samples=list(samples.values()),
        normalised=every,
        clocks=clocks,
        aligned=aligned,
        offsets=offsets,
    )
    count += perform(
        "measure",
        settings,
        intake=intake,
        normalised=every,
        aligned=aligned,
        metrics=metrics,
        ledger=ledger,
    )
    tables = {
        "intake": intake,
        "aligned": aligned,
        "metrics": metrics,
        "clocks": clocks,
        "offsets": offsets,
    }
    specs = [str(charts / f"{name}.vl.json") for name in CHARTS]
    count += perform("chart", settings, bench="[]", **tables, specs=specs, svgs=svgs)
    count += perform(
        "session_page",
        settings,
        intake=intake,
        clocks=clocks,
        metrics=metrics,
        ledger=ledger,
        offsets=offsets,
        pictures=svgs,
        page=str(results / "report" / "sessions" / f"{session.name}.html"),
        origin=str(results / "report" / "sessions" / f"{session.name}.origin.html"),
    )
    return count


def by_calls(folder: Path) -> tuple[float, int]:
    """Seconds and number of steps, after one session to warm up."""
    settings, inbox = Settings(), read_inbox(folder / "inbox", "UTC", {}, folder / "loose.json")
    sessions = list(inbox.sessions.values())
    session_by_calls(sessions[0], folder / "warm", settings)
    started = time.perf_counter()
    steps = sum(session_by_calls(each, folder / "calls", settings) for each in sessions)
    return time.perf_counter() - started, steps


def main(sessions: int, cores: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        for number in range(sessions):
            write_session(folder / "inbox" / f"session-{number:04}")
        whole = by_workflow(folder, cores)
        nothing = by_workflow(folder, cores)
        work, steps = by_calls(folder)
    share = work / cores
    print(f"{sessions} sessions, {steps} steps of sessions, {cores} cores")
    print(f"workflow                            {whole:8.1f} s")
    print(f"workflow with nothing to do         {nothing:8.1f} s")
    print(
        f"same steps, one warm process        {work:8.1f} s   ({work / steps * 1000:.1f} ms each)"
    )
    print(f"same, shared by {cores} cores             {share:8.1f} s")
    print(f"workflow beyond the work            {(whole - share) / steps * 1000:8.1f} ms a step")
    print(f"workflow against the work           {whole / share:8.2f} times")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*given, *(200, 2)[len(given) :])
