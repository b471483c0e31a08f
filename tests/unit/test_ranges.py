"""Each number of settings, cards and register has a range, and what lies outside is refused."""

import json
import re
from functools import reduce

import pytest

from document_numbers import numbers_of
from strapline.ground.documents import DocumentError, load
from strapline.ground.records.card import Card
from strapline.ground.settings import Settings

BAD = (".inf", "-.inf", ".nan", "1.0e+308", "1" + 400 * "0", "-1.0e+308", "true", "'5'", "word")
BAD_AS_WELL = ("[1]", "{a: 1}", "null", "2026-03-02", "0x1" + 4000 * "0")
SETTINGS = numbers_of("settings")
CARD = numbers_of("session")
# A card with every number in it, to be spoilt one by one.
FULL = """
activity: run
recordings:
  - {{file: strap.fit, device: strap, role: reference, clock: {{marker: {marker}}}}}
  - {{file: watch.fit, device: watch, clock: {{lap: {lap}}}}}
  - {{file: band.fit, device: band, stream: {stream}, clock: {{offset_s: {offset_s},
     pauses: [{{at: {at}, lasted: {lasted}}}]}}}}
  - {{file: app.png, device: app, clock: {{starts_at: 2026-03-02T10:00:00Z}},
     picture: {{left: {left}, right: {right}, bottom: {bottom}, top: {top}}},
     stated: {{average_bpm: {average_bpm}, maximum_bpm: {stated_maximum_bpm},
       minimum_bpm: {minimum_bpm}, duration: {duration}}}}}
exclude: [{{from: {exclude_from}, to: {exclude_to}, reason: slipped}}]
segments: [{{label: one, from: {segments_from}, to: {segments_to}}}]
conditions: {{cold: {cold}}}
body: {{maximum_bpm: {maximum_bpm}, resting_bpm: {resting_bpm}, age_years: {age_years},
  weight_kg: {weight_kg}}}
"""
GOOD = {
    "offset_s": 1,
    "marker": 2,
    "lap": 1,
    "at": 60,
    "lasted": 30,
    "stream": 1,
    "left": 0,
    "right": 600,
    "bottom": 60,
    "top": 180,
    "average_bpm": 120,
    "stated_maximum_bpm": 150,
    "minimum_bpm": 70,
    "duration": 600,
    "exclude_from": 1,
    "exclude_to": 2,
    "segments_from": 1,
    "segments_to": 2,
    "cold": 1,
    "maximum_bpm": 190,
    "resting_bpm": 50,
    "age_years": 30,
    "weight_kg": 60,
}
PLACES = {
    "offset_s": "recordings[2].clock.offset_s",
    "marker": "recordings[0].clock.marker",
    "lap": "recordings[1].clock.lap",
    "at": "recordings[2].clock.pauses[0].at",
    "lasted": "recordings[2].clock.pauses[0].lasted",
    "stream": "recordings[2].stream",
    "left": "recordings[3].picture.left",
    "right": "recordings[3].picture.right",
    "bottom": "recordings[3].picture.bottom",
    "top": "recordings[3].picture.top",
    "average_bpm": "recordings[3].stated.average_bpm",
    "stated_maximum_bpm": "recordings[3].stated.maximum_bpm",
    "minimum_bpm": "recordings[3].stated.minimum_bpm",
    "duration": "recordings[3].stated.duration",
    "exclude_from": "exclude[0].from",
    "exclude_to": "exclude[0].to",
    "segments_from": "segments[0].from",
    "segments_to": "segments[0].to",
    "cold": "conditions.cold",
    "maximum_bpm": "body.maximum_bpm",
    "resting_bpm": "body.resting_bpm",
    "age_years": "body.age_years",
    "weight_kg": "body.weight_kg",
}


def mistakes(tmp_path, text, model=Settings, name="settings.yaml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DocumentError) as caught:
        load(path, model)
    return caught.value.mistakes


def with_value(place, value):
    """A section of the settings as it is by default, but for one, given as YAML (of which JSON is
    a part)."""
    content = Settings().model_dump(mode="json", include={place[0]})
    reduce(lambda node, key: node[key], place[:-1], content)[place[-1]] = "HERE"
    return json.dumps(content).replace('"HERE"', value)


def shown(bound):
    return str(int(bound)) if bound == int(bound) else str(bound)


@pytest.mark.parametrize("document", ["settings", "session", "devices"])
def test_every_number_has_a_range(document):
    for place, node in numbers_of(document).items():
        assert {"minimum", "maximum"} <= node.keys(), (document, ".".join(place))


@pytest.mark.parametrize("place", SETTINGS, ids=".".join)
def test_a_number_of_the_settings_outside_its_range_is_told(tmp_path, place):
    node = SETTINGS[place]
    outside = [shown(node["minimum"] - 1), shown(node["maximum"] + 1)]
    zero = ["0"] if node["minimum"] > 0 else []
    part = ["1.5"] if node["type"] == "integer" else []
    key, low, high = ".".join(place), shown(node["minimum"]), shown(node["maximum"])
    for value in (*BAD, *BAD_AS_WELL, *outside, *zero, *part):
        (told,) = mistakes(tmp_path, with_value(place, value))
        assert told.startswith(f"settings.yaml: '{key}' is "), told
        assert told.endswith(f"number from {low} to {high}."), told
        assert len(told) < 200


@pytest.mark.parametrize("place", SETTINGS, ids=".".join)
def test_both_ends_of_a_range_are_allowed(tmp_path, place):
    path = tmp_path / "settings.yaml"
    for end in ("minimum", "maximum"):
        path.write_text(with_value(place, shown(SETTINGS[place][end])))
        try:
            load(path, Settings)
        except DocumentError as error:
            # Two settings that do not go together, never the one by itself.
            assert "number from" not in str(error), error


def test_the_cards_numbers_are_all_tried():
    tried = {re.sub(r"\[\d\]", ".*", place) for place in PLACES.values()}
    assert {".".join(place) for place in CARD} == tried - {"conditions.cold"} | {"conditions.*"}


def counted_from_one(place):
    """As a person is told of a place."""
    listed, number, key = re.fullmatch(r"(?:([^[]+)\[(\d)\]\.)?(.*)", place).groups()
    if not listed:
        return f"'{key}'"
    return f"entry {int(number) + 1} of '{listed}': {counted_from_one(key)}"


@pytest.mark.parametrize("name", GOOD)
def test_a_number_of_the_card_outside_its_range_is_told(tmp_path, name):
    path = tmp_path / "session.yaml"
    bad = (".inf", "-.inf", ".nan", "1.0e+308", "1" + 400 * "0", "0x1" + 4000 * "0", "[1]")
    words = () if name == "cold" else ("true", "word", "-200000", "2026-03-02")
    for value in (*bad, *words):
        told = mistakes(tmp_path, FULL.format(**GOOD | {name: value}), Card, path.name)
        place = counted_from_one(PLACES[name])
        (told,) = [one for one in told if place in one]
        assert told.startswith(f"session.yaml: {place} is "), told
        assert "number" in told and len(told) < 200
    path.write_text(FULL.format(**GOOD))
    load(path, Card)


@pytest.mark.parametrize("value", [".inf", ".nan", "1.0e+308", "5", "true", "1" + 400 * "0"])
def test_a_start_is_a_date(tmp_path, value):
    text = f"recordings: [{{device: a, clock: {{starts_at: {value}}}}}]"
    (told,) = mistakes(tmp_path, text, Card, "session.yaml")
    assert "entry 1 of 'recordings': 'clock.starts_at' is" in told
    assert "a date and time such as 2026-03-02 18:05:00" in told


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "episodes: {enter_bpm: 5, leave_bpm: 6}",
            "'episodes' must have 'leave_bpm' (6) at most as large as 'enter_bpm' (5).",
        ),
        (
            "episodes: {enter_bpm: 10, spike_bpm: 9}",
            "'episodes' must have 'enter_bpm' (10) at most as large as 'spike_bpm' (9).",
        ),
        (
            "claims: {tends: {fewest_sessions: 9, fewest_wearers: 1, fewest_minutes: 60}}",
            "'claims' must have 'tends.fewest_sessions' (9) at most as large as "
            "'does.fewest_sessions' (8).",
        ),
        (
            "plausibility: {lowest_bpm: 100, highest_bpm: 90}",
            "'plausibility.highest_bpm' is 90; it should be a number from 120 to 300.",
        ),
        ("palette: {ink: '#FFFFFF', paper: '#ffffff'}", "'ink' and 'paper' told apart"),
        ("palette: {ink: '#eeeeee'}", "'ink' and 'paper' told apart"),
        ("palette: {reference: '#ffffff'}", "'reference' and 'paper' told apart"),
        (
            "palette: {devices: ['#112233', '#fffffe']}",
            "entry 2 of 'devices' and 'paper' told apart",
        ),
        (
            "palette: {devices: ['#aa0033', '#AA0033']}",
            "each of 'devices' a colour of its own",
        ),
        ("clock: {time_zone: localtime}", "must be an IANA time zone such as Europe/Lisbon"),
        ("clock: {time_zone: Factory}", "must be an IANA time zone such as Europe/Lisbon"),
        ("clock: {time_zone: Europe/Lisabon}", "(did you mean 'Europe/Lisbon'?)"),
    ],
)
def test_settings_that_do_not_go_together_are_told(tmp_path, text, sentence):
    (told,) = mistakes(tmp_path, text)
    assert told.startswith("settings.yaml: ") and sentence in told, told
