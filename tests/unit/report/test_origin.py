"""The page that says where a session's figures come from."""

import re

import numpy as np
import pytest

from strapline.ground.records.ledger import ComparisonLedger, SessionLedger, Tally
from strapline.ground.tables.sessions import ALIGNED, METRICS
from strapline.method.signal.grid import times_of
from strapline.telling.report.origin import ORIGIN
from strapline.telling.report.site import rendered

HOSTILE = "<img src=x onerror=alert(1)>\u202e"
VALUES = {"mae": 2.0, "bias": 0.0, "maximum_device": 104.0, "effective_n": 3.0}


@pytest.fixture
def aligned():
    return ALIGNED.frame(
        {
            "recording": ["watch"] * 4,
            "device": ["watch"] * 4,
            "alignment": ["settled"] * 4,
            "time": times_of(1_770_000_000 + np.arange(4)),
            "reference_bpm": [100.0, 102.0, 104.0, 104.0],
            "device_bpm": [98.0, 104.0, 102.0, np.nan],
            "status": ["compared"] * 3 + ["no_device"],
            "stands_for_s": [1.0, 1.0, 1.0, 0.0],
        }
    )


@pytest.fixture
def page_of(build_intake, of_session, aligned, look):
    def show(device="watch", **changes):
        values = VALUES | {"bias": -2 / 3} | changes
        count = len(values)
        names = {"session": "s-1", "wearer": "w", "activity": "strength", "scope": "whole"}
        names |= {"device": "watch", "recording": "watch", "alignment": "settled", "unit": "bpm"}
        metrics = METRICS.frame(
            {name: [word] * count for name, word in names.items()}
            | {"metric": list(values), "value": list(values.values()), "n": [3] * count}
        )
        seconds = Tally(total=4, used=3, left_out={"no_device": 1})
        told = ComparisonLedger(recording="watch", alignment="settled", seconds=seconds)
        ledger = SessionLedger(session="s-1", recordings=(), comparisons=(told,))
        intake = build_intake(label=HOSTILE, device=device)
        tables = of_session(intake, metrics=metrics, ledger=ledger, aligned=aligned)
        return rendered(ORIGIN, look, ORIGIN.context(tables, "Made with care."))

    return show


def outcome(page, metric):
    row = re.search(rf'<tr class="first" id="watch\.settled\.{metric}">(.*?)</tr>', page)[1]
    cells = [re.sub("<[^>]*>", " ", cell).strip() for cell in re.findall("<td.*?</td>", row)]
    return cells[1:4]


def test_a_figure_stands_beside_the_same_reckoned_anew(page_of):
    page = page_of()
    assert outcome(page, "mae") == ["2", "2", "equal"]
    assert outcome(page, "bias") == ["−0.666666667", "−0.666666667", "equal"]
    assert outcome(page, "effective_n") == ["3", "no second way", ""]
    # Not published in this table, though the rows give it.
    assert outcome(page, "coverage") == ["no figure", "75", "not equal"]


def test_a_figure_that_its_rows_do_not_give_is_said_to_differ(page_of):
    assert outcome(page_of(mae=2.001), "mae") == ["2.001", "2", "not equal"]


def test_it_names_seconds_files_sources_and_the_command(page_of):
    page = page_of()
    assert "3 of 4 seconds compared, left out: no device 1." in page
    assert f"SHA-256 <code>{'f' * 64}</code>" in page
    assert "mean of abs(d − r)<small>common practice, no source</small>" in page
    assert "<code>strapline trace s-1 watch mae</code>" in page
    assert '<a href="s-1.html">' in page


def test_the_command_goes_by_the_recording_that_no_other_can_be_called(page_of):
    assert "<code>strapline trace s-1 watch mae</code>" in page_of(device="band")


def test_names_are_text_and_places_are_unique(page_of):
    page = page_of()
    assert "<img" not in page and "\u202e" not in page
    places = re.findall(r' id="([^"]*)"', page)
    assert len(places) == len(set(places)) > 4
