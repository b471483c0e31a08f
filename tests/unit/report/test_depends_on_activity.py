"""What is said over activities that differ: their mean is no property of the device."""

import numpy as np
import pytest

from strapline.ground.settings import OverAll
from strapline.ground.tables.archive import COMPARISONS, FIRMWARE
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.agreement.findings import findings
from strapline.method.agreement.standings import standings
from strapline.method.claims.evidence import Evidence
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS
from strapline.telling.publish.archive_text import archive_text, device_text
from strapline.telling.report.archive import ARCHIVE
from strapline.telling.report.site import rendered
from unit.agreement.archives import archive
from unit.report.conftest import named

# A band made to read 8 bpm high in strength, as it should in runs, by two wearers.
DIFFERS = {"strength": [7.7, 7.9], "run": [-0.1, -0.3]}


def of(made):
    return archive(
        *(
            {"bias": bias, "mae": abs(bias) + 1, "activity": activity, "wearer": wearer}
            for activity, biases in made.items()
            for bias, wearer in zip(biases, ("june", "omar", "june"), strict=False)
        )
    )


@pytest.fixture
def told(policy):
    def claims(made):
        found = findings(of(made), policy.criteria, policy.equivalence, OverAll())
        evidence = Evidence(found, COMPARISONS.empty(), FIRMWARE.empty(), policy)
        return {at.activity: dict(own) for at, own in evidence.named_claims({})}[ALL_ACTIVITIES]

    return claims


def test_over_activities_that_differ_the_claim_is_that_they_do(told):
    claim = told(DIFFERS)["bias"]
    assert claim.verdict == "depends on the activity"
    assert claim.sentence.startswith(
        "On these two wearers, watch’s bias depends on the activity (p of no difference "
    )
    # What is not shown at each is told after what is.
    assert claim.sentence.endswith(
        "So far it was +7.8 bpm in 2 strength sessions and −0.2 bpm in 2 run sessions."
    )
    assert not {"bias_over_wearers", "equivalence"} & set(told(DIFFERS))


def test_a_mean_over_activities_that_are_alike_is_claimed(told):
    claim = told({"strength": [7.7, 7.9], "run": [7.2, 7.6]})["bias"]
    assert claim.verdict == "shown" and "read 7.6 bpm higher" in claim.sentence


@pytest.mark.parametrize(
    ("strength", "run", "spread", "least", "most"),
    [
        pytest.param(8, 0, 1.0, 0.7, 1, id="8 bpm apart"),
        pytest.param(4, 4, 4.0, 0, 0.1, id="one bias, sessions far apart"),
    ],
)
def test_of_made_biases_what_differs_is_found_and_what_does_not_seldom(
    told, strength, run, spread, least, most
):
    random = np.random.default_rng(8)
    draws = [
        {"strength": random.normal(strength, spread, 3), "run": random.normal(run, spread, 3)}
        for _ in range(40)
    ]
    verdicts = [told(made)["bias"].verdict for made in draws]
    assert least <= np.mean([v == "depends on the activity" for v in verdicts]) <= most
    # Where it is not found of so few sessions, their mean is not shown either.
    assert strength == run or "shown" not in verdicts


def test_of_many_activities_the_furthest_are_named(told):
    more = {"ride": [-0.4, -0.4], "walk": [0.1], "desk": [0.2, 0.0]}
    assert (
        "+7.8 bpm in 2 strength sessions, −0.4 bpm in 2 ride sessions and −0.2 to +0.1 bpm in 5 "
        "other sessions."
    ) in told(DIFFERS | more)["bias"].sentence


@pytest.mark.parametrize(
    "made",
    [
        pytest.param({"strength": [4.7, 4.9], "run": [3.0, 2.9]}, id="less than both have"),
        pytest.param({"strength": [14.0, -2.0], "run": [-0.1, -0.3]}, id="by chance"),
    ],
)
def test_what_differs_by_little_or_by_chance_is_not_said_to_depend(told, made):
    assert "depends" not in told(made)["bias"].sentence


def test_a_mean_that_is_true_at_no_activity_is_not_claimed(told):
    """Below the margin everywhere: 4.8 and 0.2 bpm are no device that reads 2.5 high."""
    claim = told({"strength": [4.7, 4.9], "run": [0.2, 0.1]})["bias"]
    assert claim.verdict == "depends on the activity" and "2.5" not in claim.sentence


def test_of_single_sessions_no_mean_is_told_either(told):
    claim = told({"strength": [7.8], "run": [-0.2]})["bias"]
    assert claim.verdict == "not yet"
    assert claim.sentence == (
        "watch’s bias was +7.8 bpm in one strength session and −0.2 bpm in one run session. To say "
        "more takes at least one more session."
    )


@pytest.fixture
def tables(policy):
    metrics = of(DIFFERS)
    return ArchiveTables(
        standings=standings(metrics, OverAll()),
        findings=findings(metrics, policy.criteria, policy.equivalence, OverAll()),
        devices=named({"watch": "Copper band"}),
    )


def test_the_first_page_has_each_activity_in_the_place_of_their_mean(tables, policy, look, shown):
    page = rendered(ARCHIVE, look, ARCHIVE.context(tables, policy, shown(ARCHIVE_CHARTS)))
    told = page.split("Does it read too high or too low?")[1].split("Figures by activity")[0]
    assert "It depends on the activity" in told and "by 5 bpm or by more than their mean" in told
    assert "Copper band</bdi></a>: +7.8 bpm in 2 strength sessions and −0.2 bpm in 2 run" in told
    assert "Copper band</bdi></a>, strength: +7.8 bpm" in told and "+3.8" not in told


def test_no_text_to_publish_has_their_mean(tables, policy):
    whole = archive_text(tables, policy, "Bench", "m")
    device = device_text(DeviceTables("watch", tables), policy, "m")
    for text in (whole.plain, device.plain):
        assert "strength (2 sessions): average +7.8 bpm" in text.lower()
        assert "+3.8" not in text and "All activities (" not in text
    assert "So far it was plus 7.8 beats a minute in 2 strength sessions" in device.aloud
    assert device.description.index("All activities: run and strength.") > 0
