"""A dry run in a few lines, however many rules there are."""

import pytest

from snakemake_logger_plugin_strapline import reasons, steps


@pytest.mark.parametrize(
    ("stats", "said"),
    [
        (
            {"align": 3, "site": 1, "measure": 3, "plan": 1, "all": 1, "total": 9},
            "8 steps: align 3, measure 3; once each: site, plan.",
        ),
        ({"site": 1, "total": 1}, "1 step, once each: site."),
        ({"align": 2, "total": 2}, "2 steps: align 2."),
    ],
)
def test_each_rule_is_counted(stats, said):
    assert steps(stats) == said


def test_many_that_run_once_are_counted_unless_asked_for():
    stats = {"align": 2} | dict.fromkeys("abcde", 1)
    assert steps(stats) == "7 steps: align 2; once each: 5 others."
    assert steps(stats, in_full=True) == "7 steps: align 2; once each: a, b, c, d, e."


def test_only_where_a_run_begins_has_a_reason():
    """As Snakemake has it."""
    text = (
        "Reasons:\n    (check individual jobs above for details)\n"
        "    input files updated by another job:\n        site, all\n"
        "    params have changed since last execution:\n        measure, episodes"
    )
    assert reasons(text) == (
        "Reasons:\n  another method, card, device or export: measure, episodes"
    )


def test_targets_are_no_steps():
    assert steps({"site": 1, "all": 1, "publish": 1, "total": 3}) == "1 step, once each: site."
