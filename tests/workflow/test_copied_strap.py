"""A recording of the strap's own signal is no evidence, by whatever clock it was made."""

import datetime as dt
import os
import shutil
from pathlib import Path

import numpy as np
import pytest

from strapline.ground.records.alignment import SessionAlignment

START = dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)
CARD = """\
recordings:
  - {file: %s, device: strap, role: reference}
  - {file: %s, device: watch}
"""
REAL_DATA = os.environ.get("STRAPLINE_REAL_DATA")


def table(rate, shift_s):
    moments = (START + dt.timedelta(seconds=n + shift_s) for n in range(len(rate)))
    rows = [f"{at.isoformat()},{bpm}" for at, bpm in zip(moments, rate, strict=True)]
    return "\n".join(["time,heart_rate", *rows]) + "\n"


def alignments(sessions):
    return [f"results/sessions/{name}/alignment.json" for name in sessions]


def decisions(results: Path):
    return {
        path.parent.name: SessionAlignment.model_validate_json(path.read_bytes()).clocks[0].decision
        for path in results.glob("sessions/*/alignment.json")
    }


def test_a_clock_that_is_wrong_makes_no_evidence_of_a_copy(tmp_path, run_workflow):
    rate = np.round(130 + 25 * np.sin(np.arange(600) / 37) + 5 * np.sin(np.arange(600) / 11))
    shifts = {"right": 0, "off-by-30-s": 30, "an-hour-off": 3600}
    for name, shift_s in shifts.items():
        folder = tmp_path / "inbox" / name
        folder.mkdir(parents=True)
        (folder / "session.yaml").write_text(CARD % ("strap.csv", "watch.csv"))
        # Of another heart each, or they would be one session three times.
        own = rate + len(name)
        (folder / "strap.csv").write_text(table(own, 0))
        (folder / "watch.csv").write_text(table(own[:-1], shift_s))
    run_workflow(tmp_path, *alignments(shifts))
    assert decisions(tmp_path / "results") == dict.fromkeys(shifts, "copy")


@pytest.mark.skipif(REAL_DATA is None, reason="needs real recordings, see STRAPLINE_REAL_DATA")
def test_two_real_pairs_of_devices(tmp_path, run_workflow):
    """Of one a note says that both files are of one strap, of the other that they are not."""
    for name, (strap, watch) in {"pair1": "ab", "pair2": "ba"}.items():
        folder = tmp_path / "inbox" / name
        folder.mkdir(parents=True)
        files = [f"{name}_{side}.fit" for side in (strap, watch)]
        for file in files:
            shutil.copy(Path(str(REAL_DATA), "pairs", file), folder)
        (folder / "session.yaml").write_text(CARD % tuple(files))
    run_workflow(tmp_path, *alignments(["pair1", "pair2"]))
    found = decisions(tmp_path / "results")
    assert found["pair1"] == "copy" and found["pair2"] != "copy"
