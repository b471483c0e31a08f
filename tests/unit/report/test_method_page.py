"""The page on the method says what README says, of every figure there is."""

import re

import pytest

from strapline.agreement.metrics import UNITS
from strapline.agreement.scope_figures import EFFECTIVE_N, PROPORTIONAL_SLOPE
from strapline.agreement.timing import UNITS as TIMING_UNITS
from strapline.report.method import methods, settings_in_force

HEADS = {
    "of_a_session": "| figure | formula | source |",
    "across_sessions": "| statistic | how | source |",
}
# Sides of a comparison rather than figures of one.
NEED_NO_FORMULA = ("mean_", "maximum_reference", "maximum_device")


@pytest.mark.parametrize("scope", HEADS)
def test_readme_and_page_say_the_same(repository, scope):
    text = (repository / "README.md").read_text(encoding="utf-8")
    table = text[text.index(HEADS[scope]) :].split("\n\n")[0].splitlines()[2:]
    told = [
        f"| {', '.join(f'`{name}`' for name in one.names)} | {one.how} | {one.source} |"
        for one in methods()[scope]
    ]
    assert told == table


def test_every_metric_has_a_formula():
    measured = {*UNITS, *TIMING_UNITS, EFFECTIVE_N, PROPORTIONAL_SLOPE}
    told = {name for one in methods()["of_a_session"] for name in one.names}
    assert told <= measured
    assert all(name.startswith(NEED_NO_FORMULA) for name in measured - told)


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
