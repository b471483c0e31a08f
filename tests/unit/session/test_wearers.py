"""What is known of a wearer's body on the day of a session."""

import datetime as dt

import pytest
import yaml
from test_inference import described, export

from strapline.ground.documents import DocumentError
from strapline.ground.records.wearers import Wearers, load_wearers

TEXT = """
wearers:
  june:
    - {age_years: 41, weight_kg: 63, maximum_bpm: 184}
    - {from: 2026-03-01, weight_kg: 61, resting_bpm: 54}
"""
WEARERS = Wearers.model_validate(yaml.safe_load(TEXT))


@pytest.mark.parametrize(
    ("day", "weight", "resting"),
    [(dt.date(2026, 2, 28), 63, None), (dt.date(2026, 3, 1), 61, 54), (None, 61, 54)],
)
def test_a_body_changes_from_a_day_on_and_the_rest_stays(day, weight, resting):
    body = WEARERS.body("june", day)
    assert (body.age_years, body.weight_kg, body.resting_bpm) == (41, weight, resting)
    assert WEARERS.body("ada", day).weight_kg is None


def body_of(card):
    return described([export("strap.csv"), export("a.csv")], card, wearers=WEARERS)


def test_a_card_needs_only_the_name_and_its_own_word_goes_first():
    assert body_of({"wearer": "june"}).body.weight_kg == 61
    stated = body_of({"wearer": "june", "body": {"weight_kg": 60}}).body
    assert (stated.weight_kg, stated.maximum_bpm) == (60, 184)
    assert body_of({"wearer": "ada"}).body.maximum_bpm is None


def test_a_card_that_does_not_fit_what_is_known_is_a_mistake():
    with_maximum = Wearers.model_validate({"wearers": {"june": [{"resting_bpm": 110}]}})
    card = {"wearer": "june", "body": {"maximum_bpm": 105}}
    intake = described([export("strap.csv"), export("a.csv")], card, wearers=with_maximum)
    assert "together must have 'resting_bpm' below 'maximum_bpm'" in intake.set_aside


def test_mistakes_are_told(tmp_path):
    assert load_wearers(tmp_path / "none.yaml") == Wearers()
    place = tmp_path / "wearers.yaml"
    for text, said in (
        ("wearers: {june: [{wieght_kg: 60}]}", "did you mean 'weight_kg'"),
        ("wearers: {june: [{from: 2026-02-01}, {}]}", "in order of 'from'"),
        ("wearers: {june: [{maximum_bpm: 110}, {from: 2026-02-01, resting_bpm: 115}]}", "below"),
    ):
        place.write_text(text)
        with pytest.raises(DocumentError, match=said):
            load_wearers(place)


def test_the_example_can_be_read(repository):
    example = repository / "config" / "wearers.example.yaml"
    assert load_wearers(example).body("june", None).weight_kg == 61
