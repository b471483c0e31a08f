from dataclasses import replace

import pytest

from strapline.ground.records.card import Body
from strapline.ground.settings import Plan
from strapline.ground.tables.archive import FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.telling.report.checklist import CHECKLIST, checklist_text, points
from strapline.telling.report.checklist_answers import COLUMNS, FIGURES, Archive
from strapline.telling.report.site import rendered


@pytest.fixture
def archive(build_intake, sessions, metrics, evidence):
    """Two sessions that are evidence and one that is not; only one states anything."""
    stating = build_intake().model_copy(
        update={"body": Body(sex="female"), "conditions": {"skin_tone": "3 of 6"}}
    )
    others = [build_intake(session=name) for name in ("s-0", "s-2")]
    return Archive([stating, *others], sessions, metrics, evidence.findings, Plan())


@pytest.fixture
def empty():
    return Archive([], SESSIONS.empty(), METRICS.empty(), FINDINGS.empty(), Plan())


def answers(archive):
    return {point.text: point.answer for point in points(archive)}


def test_what_the_archive_knows_is_answered(archive):
    found = answers(archive)
    assert found["How many people wore the devices"] == "one wearer"
    assert found["Their sex"] == "Stated in 1 of 2 sessions"
    assert found["Their skin tone, and on what scale"] == "Stated in 1 of 2 sessions"
    assert found["Where each was worn, as its maker says"] == "Stated in all 2 recordings"
    assert found["A chest strap or an electrocardiogram as the reference"] == "Chest strap"
    assert found["Which activities, and how often"] == "Sessions: Strength 2"
    assert found["Several intensities"] == "Sessions with each band of effort: very light 1"
    assert found["Availability of readings"] == "Median session: Watch one 97.5 %"
    assert found["What was left out, and why"].startswith("1 of 3 sessions set aside")
    assert "±2 bpm" in found["How the number of sessions was chosen"]
    bias = "Bias and limits of agreement with their intervals, for several sessions a device"
    assert found[bias] == "Of one pair of device and activity, bias for 1 and limits for 1"


def test_what_it_does_not_know_is_missing_with_a_remedy(archive):
    missing = {p.text: p.remedy for p in points(archive) if p.answer is None}
    assert "conditions.caffeine" in missing["Caffeine before the session"]
    assert "body.weight_kg" in missing["Their weight"]
    assert "Who paid, who lent the devices, and what the wearers agreed to" in missing


def test_an_empty_archive_misses_all_but_the_plan(empty):
    assert [text for text, answer in answers(empty).items() if answer] == [
        "How the number of sessions was chosen"
    ]


def test_the_figures_that_are_read_for_it_are_enough(archive):
    few = archive.metrics[archive.metrics["metric"].isin(FIGURES)][list(COLUMNS)]
    own = replace(archive, metrics=few)
    assert CHECKLIST.context(points(own)) == CHECKLIST.context(points(archive))


def test_page_and_text_hold_every_point_once(archive, look):
    html = rendered(CHECKLIST, look, CHECKLIST.context(points(archive)))
    text = checklist_text(points(archive))
    for point in points(archive):
        assert html.count(f">{point.text}<") == 1
        assert text.count(f"- {point.text} (") == 1
    assert html.count("Missing.") == sum(p.answer is None for p in points(archive))


def test_words_from_files_stay_words(archive, build_intake, look):
    intake = build_intake(label="W <b>*x*</b>")
    own = Archive([intake], archive.sessions, archive.metrics, archive.found, Plan())
    assert "<b>*x*" not in rendered(CHECKLIST, look, CHECKLIST.context(points(own)))
    assert r"W \<b\>\*x\*\</b\>" in checklist_text(points(own))
