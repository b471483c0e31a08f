import numpy as np
import pandas as pd
import pytest

from strapline.agreement.session_metrics import session_metrics
from strapline.session.card import Card
from strapline.session.devices import Register
from strapline.session.inference import describe
from strapline.settings import Tolerance
from strapline.tables import ALIGNED

START = pd.Timestamp("2026-03-01T10:00:00Z")


def intake(**card):
    return describe("s", "S", [], Card.model_validate(card), Register(), "UTC", {})


def grid(status, device, stands_for=1.0):
    length = len(status)
    compared = np.asarray(status) == "compared"
    return ALIGNED.frame(
        {
            "recording": ["watch"] * length,
            "device": ["watch"] * length,
            "alignment": ["aligned"] * length,
            "time": [START + pd.Timedelta(seconds=n) for n in range(length)],
            "reference_bpm": np.full(length, 100.0),
            "device_bpm": device,
            "status": status,
            "stands_for_s": np.where(compared, stands_for, 0.0),
        }
    )


def figures(table, **card):
    found = session_metrics(table, intake(**card), Tolerance())
    return found.set_index(["scope", "metric"])


def test_only_compared_seconds_count():
    status = ["compared"] * 6 + ["no_device"] * 2 + ["no_reference", "excluded: fell off"]
    found = figures(grid(status, [103.0] * 6 + [np.nan] * 2 + [200, 200]))
    assert found.loc[("whole", "bias"), "value"] == 3
    assert found.loc[("whole", "bias"), "n"] == 6
    assert found.loc[("whole", "coverage"), "value"] == pytest.approx(75)


def test_segments_are_measured_on_their_own():
    table = grid(["compared"] * 10, [101.0] * 5 + [109.0] * 5)
    found = figures(table, segments=[{"label": "second half", "from": 5, "to": 10}])
    assert found.loc[("whole", "bias"), "value"] == 5
    assert found.loc[("segment:second half", "bias"), "value"] == 9
    assert found.loc[("segment:second half", "bias"), "n"] == 5


def test_a_report_a_minute_stands_for_its_minute():
    status = (["between_reports"] * 59 + ["compared"]) * 3 + ["no_device"] * 60
    device = [102.0 if s == "compared" else np.nan for s in status]
    found = figures(grid(status, device, stands_for=60))
    assert found.loc[("whole", "bias"), "n"] == 180
    assert found.loc[("whole", "coverage"), "value"] == pytest.approx(75)


def test_nothing_aligned_nothing_measured():
    assert session_metrics(ALIGNED.empty(), intake(), Tolerance()).empty
