import datetime as dt

import pytest

from strapline.ground.documents import DocumentError, load
from strapline.ground.records.card import Card
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings
from strapline.reading.inbox.glance import Glance

# Values that do not fit their tag.
UNFIT = ("!!timestamp soon", "!!bool perhaps", "!!int ''", "!!float x", "!!binary x")


def write(tmp_path, text, name="session.yaml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def mistakes(tmp_path, text, model=Card, name="session.yaml"):
    with pytest.raises(DocumentError) as caught:
        load(write(tmp_path, text, name), model)
    return caught.value.mistakes


def test_times_may_be_quoted_or_not(tmp_path):
    # YAML 1.1 reads an unquoted 12:30 as the number 750, base sixty; '0:30' stays text.
    card = load(
        write(
            tmp_path,
            """
segments:
  - {label: one, from: 0:30, to: 12:30}
  - {label: two, from: "1:02:03", to: 3724.5}
""",
        ),
        Card,
    )
    assert [(s.start, s.end) for s in card.segments] == [(30, 750), (3723, 3724.5)]


def test_a_full_card(tmp_path):
    card = load(
        write(
            tmp_path,
            """
activity: run
wearer: ada
body: {maximum_bpm: 188, resting_bpm: 54, age_years: 34, sex: female, weight_kg: 61.5}
recordings:
  - {file: strap.fit, device: strap, role: reference, placement: chest}
  - file: watch.csv
    device: watch
    placement: left_wrist
    firmware: "1.2"
    clock: {offset_s: -3600, time_zone: Europe/Lisbon, starts_at: 2026-03-01T10:00:00, note: late}
exclude: [{from: 1:00, to: 2:00, reason: strap slipped}]
conditions: {temperature_c: 8, strap_wet: true}
notes: windy
""",
        ),
        Card,
    )
    assert card.recordings[1].clock.starts_at == dt.datetime(2026, 3, 1, 10)
    assert card.recordings[1].role == "test"
    assert (card.body.maximum_bpm, card.body.weight_kg) == (188, 61.5)
    assert card.exclude[0].reason == "strap slipped"


def test_a_heart_that_rests_above_its_maximum_is_a_mistake(tmp_path):
    (mistake,) = mistakes(tmp_path, "body: {maximum_bpm: 110, resting_bpm: 110}")
    assert "'body'" in mistake and "'resting_bpm' below 'maximum_bpm'" in mistake


def test_an_empty_card_is_a_card(tmp_path):
    assert load(write(tmp_path, ""), Card).activity is None


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("aktivity: run", "session.yaml: 'aktivity' is not a known key; did you mean 'activity'?"),
        (
            "recordings: [{file: a, device: b, role: refrence}]",
            "session.yaml: entry 1 of 'recordings': 'role' is 'refrence'; did you mean "
            "'reference'?",
        ),
        (
            "recordings: [{file: a}]",
            "session.yaml: entry 1 of 'recordings': 'device' is missing; add it.",
        ),
        ("recordings: [{device: a, heart_rate: b}]", "must say 'file' with heart_rate, dates or"),
        (
            "recordings: [{device: a, picture: {left: 0, right: 900, bottom: 60, top: 180}}]",
            "must say 'file' with heart_rate, dates or picture",
        ),
        (
            "recordings: [{file: f, device: a, picture: "
            "{left: 0, right: 90, bottom: 90, top: 60}}]",
            "must have 'top' above 'bottom'",
        ),
        (
            "recordings: [{file: f, device: a, picture: "
            "{left: '9:00', right: '0:00', bottom: 60, top: 180}}]",
            "must have 'right' after 'left'",
        ),
        (
            "recordings: [{file: f, device: a, picture: "
            "{left: 0, right: 9, bottom: 60, top: 180}}]",
            "must have 'right' a minute or more after 'left'",
        ),
        (
            "recordings: [{file: f, device: a, picture: "
            "{left: 0, right: 900, bottom: 60, top: 180, area: [90, 0, 10, 50]}}]",
            "must have 'area' as [left, top, right, bottom]",
        ),
        ("recordings: [{device: a}, {device: a}]", "a device has several recordings"),
        (
            "recordings: [{file: a, device: b, clock: {ofset_s: 1}}]",
            "entry 1 of 'recordings': 'clock.ofset_s' is not a known key; did you mean 'offset_s'?",
        ),
        (
            "recordings: [{file: a, device: b, clock: {time_zone: Mars}}]",
            "must be an IANA time zone",
        ),
        ("segments: [{label: a, from: 5:00, to: 1:00}]", "must end after it starts"),
        ("activity: [run", "is not valid YAML at line"),
        ("- a\n- b", "session.yaml: expected 'key: value' lines"),
        ("activity: Weight training", "may hold only lower-case letters, digits, '-' and '_'"),
        (
            "recordings: [{file: a, device: b, role: reference}, "
            "{file: c, device: d, role: reference}]",
            "session.yaml must give the role 'reference' to one recording only.",
        ),
        ("activity: no", "'activity' is False; it should be text; put it in quotes."),
        (
            "recordings: {file: a}",
            "it should be a list, each entry on a line that begins with '- '",
        ),
        ("recordings: [a]", "entry 1 of 'recordings' is 'a'; it should be 'key: value' lines."),
        ("wearer: " + "x" * 41, "it should have at most 40 characters"),
        ("activity: run\nactivity: ride", "line 2, column 1 ('activity' stands there twice; keep"),
        ("conditions: {strap: loose, strap: tight}", "'strap' stands there twice; keep one"),
        (
            "conditions: {strap: .nan}",
            "'conditions.strap' is nan; it must be a number of at most 15 digits or a word.",
        ),
        (
            "conditions: {strap: 1000000000000000}",
            "'conditions.strap' is 1000000000000000; it must be a number of at most 15 digits or a "
            "word.",
        ),
        ("conditions: {strap: " + "x" * 201 + "}", "it must have at most 200 characters"),
        (
            "exclude: [{from: 0:00, to: .inf, reason: a}]",
            "entry 1 of 'exclude': 'to' is inf; it should be",
        ),
        (
            "recordings: [{device: a, clock: {starts_at: 9999-12-31T23:59:59-14:00}}]",
            "it must be a date from 1900 to 2200",
        ),
        ("\u202ewearer: ada", r"'\u202ewearer' is not a known key; did you mean 'wearer'?"),
        *((f"notes: {tagged}", "is not valid YAML") for tagged in UNFIT),
    ],
)
def test_mistakes_name_file_key_and_remedy(tmp_path, text, sentence):
    assert sentence in "\n".join(mistakes(tmp_path, text))


def multiplied(key):
    """A card whose aliases would stand for a billion words under `key`."""
    words = ["&a0 [x, x, x, x, x, x, x, x, x, x]"]
    words += [f"&a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    return f"notes: [{', '.join(words)}]\n{key}: *a8\n"


@pytest.mark.parametrize(
    "text",
    [*map(multiplied, ["recordings", "conditions", "wearer"]), "recordings: &all [{device: *all}]"],
)
def test_a_card_that_multiplies_itself_is_refused_at_once(tmp_path, text):
    sentence = "session.yaml: multiplies itself by aliases ('*'); write out what it says."
    assert mistakes(tmp_path, text) == [sentence]
    assert Glance(tmp_path / "session.yaml").devices is None


def test_an_alias_may_save_writing(tmp_path):
    text = "conditions: {a: &cold freezing, b: *cold}"
    assert load(write(tmp_path, text), Card).conditions == {"a": "freezing", "b": "freezing"}


@pytest.mark.parametrize("label", ["Watch", "watch", "' Watch '"])
def test_labels_of_devices_can_be_told_apart(tmp_path, label):
    text = f"devices: {{one: {{label: Watch}}, two: {{label: {label}}}}}"
    sentence = "devices.yaml must give one and two labels that can be told apart."
    assert mistakes(tmp_path, text, Register, "devices.yaml") == [sentence]


def test_a_heading_of_dashes_only_tells_no_column(tmp_path):
    text = "recordings: [{file: a, device: a, heart_rate: '--'}]"
    assert mistakes(tmp_path, text) == [
        "session.yaml: entry 1 of 'recordings': 'heart_rate' is '--'; it must hold a letter or a "
        "digit."
    ]


def test_every_mistake_is_told_at_once(tmp_path):
    assert len(mistakes(tmp_path, "aktivity: run\nwearer: [1]\nsegments: 5")) == 3


def test_not_text(tmp_path):
    path = tmp_path / "session.yaml"
    path.write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(DocumentError, match="not UTF-8"):
        load(path, Card)
    path.write_bytes(b"a" * 300_000)
    with pytest.raises(DocumentError, match="larger than 256 KiB"):
        load(path, Card)


def test_register_and_settings_are_checked_alike(tmp_path):
    text = "devices: {strap: {label: Strap, knd: wrist}}"
    assert "did you mean 'kind'?" in mistakes(tmp_path, text, Register, "devices.yaml")[0]
    text = "tolerance: {beets: 5}"
    assert "did you mean 'beats'?" in mistakes(tmp_path, text, Settings, "settings.yaml")[0]


def test_a_time_zone_in_the_settings_is_checked(tmp_path):
    told = mistakes(tmp_path, "clock: {time_zone: Lisbon}", Settings, "settings.yaml")
    assert "'clock.time_zone' is 'Lisbon'; it must be an IANA time zone" in told[0]


def test_a_heading_has_one_meaning(tmp_path):
    text = "headings: {time: [When], date: [when]}"
    told = mistakes(tmp_path, text, Settings, "settings.yaml")
    assert "'headings' must give each heading one meaning" in told[0]


def test_a_word_of_the_exports_is_of_one_activity(tmp_path):
    text = "activities: {ride: [cycling], spin: [Cycling]}"
    told = mistakes(tmp_path, text, Settings, "settings.yaml")
    assert "must give each word to one activity" in told[0]
    text = "activities: {My Ride: [cycling]}"
    assert "may hold only lower-case" in mistakes(tmp_path, text, Settings, "settings.yaml")[0]


def test_shipped_settings_are_the_defaults(repository):
    shipped = load(repository / "config/settings.yaml", Settings)
    assert shipped == type(shipped)()


MARKED = """
recordings:
  - {{file: a, device: a, role: reference, clock: {{{a}}}}}
  - {{file: b, device: b, clock: {{{b}}}}}
"""


def test_a_shared_moment_is_marked_in_the_reference_too(tmp_path):
    both = load(write(tmp_path, MARKED.format(a="marker: 1:02", b="lap: 2")), Card)
    assert [(r.clock.marker, r.clock.lap) for r in both.recordings] == [(62, None), (None, 2)]
    (one,) = mistakes(tmp_path, MARKED.format(a="", b="lap: 2"))
    assert "must mark the shared moment in the reference's recording as well" in one
    (two,) = mistakes(tmp_path, MARKED.format(a="lap: 1", b="lap: 2, offset_s: 3"))
    assert "only one of offset_s, trusted, marker and lap" in two
