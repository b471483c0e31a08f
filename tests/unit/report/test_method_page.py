"""The page on the method: formulas with their bounds, settings and what they mean."""

import re

from strapline.ground.settings import Criteria, Tolerance
from strapline.method.metrics import registry
from strapline.telling.report.method import across_sessions, of_a_session, settings_in_force


def test_every_metric_and_statistic_is_told_with_the_bounds_in_force():
    told = {one.name: one for one in of_a_session(Tolerance(beats=7))}
    assert list(told) == [metric.key for metric in registry.METRICS]
    assert told["within_beats"].how == "share of seconds with abs(d − r) ≤ 7 bpm"
    assert told["within_beats"].title == "Within 7 bpm, %"
    over = {one.name: one for one in across_sessions(Criteria(mape_below=8))}
    assert over["met_mape"].how == "share of sessions with mape < 8 %"
    assert not any("{" in one.how for one in (*told.values(), *over.values()))


def test_settings_are_told_section_by_section_with_what_they_mean():
    settings = {
        "grid": {"longest_gap_s": 10.0},
        "claims": {"tends": {"fewest_sessions": 3, "fewest_minutes": 60.0}},
        "headings": {"time": ["tid", "when"], "date": []},
    }
    meanings = {"grid.longest_gap_s": "no longer gap", "claims.tends.fewest_sessions": "few"}
    grid, claims, headings = settings_in_force(settings, meanings | {"claims": "what is said"})
    assert (grid[0], grid[1], grid[2][0].value) == ("grid", "", "10")
    assert grid[2][0].meaning == "no longer gap"
    assert claims[1] == "what is said"
    assert [(s.name, s.value, s.meaning) for s in claims[2]] == [
        ("tends.fewest_sessions", "3", "few"),
        ("tends.fewest_minutes", "60", ""),
    ]
    assert [s.value for s in headings[2]] == ["tid, when", ""]
    assert not re.search(r"[\[\]{}]", str([s.value for s in headings[2]])[1:-1])
