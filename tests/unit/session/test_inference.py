import datetime as dt
from dataclasses import replace

import pytest
import yaml
from fitdecode.profile import FIELD_TYPES

from strapline.ground.records.card import Card
from strapline.ground.records.register import Device, Register
from strapline.ground.settings import Settings
from strapline.ground.vocabulary import UNSTATED
from strapline.reading.formats.export import Stream
from strapline.reading.formats.identity import Identity
from strapline.reading.session.draft import draft_card
from strapline.reading.session.entries import recognised
from strapline.reading.session.inference import describe
from strapline.reading.session.parsed import ParsedExport
from strapline.reading.session.span import ClockFault

START = dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)

REGISTER = Register.model_validate(
    {
        "devices": {
            "strap": {"label": "Strap", "kind": "chest_strap", "recognise": [{"product": "S1*"}]},
            "watch": {
                "label": "Watch",
                "recognise": [{"file_name": "watch*"}],
                "time_from": "phone",
            },
        }
    }
)


IDENTITY = {"maker", "product", "serial", "listed", "unlisted", "sport"}


def export(file, **facts):
    known = {
        "sha256": file,
        "format": "csv",
        "clock": "utc",
        "first": START,
        "last": START + dt.timedelta(minutes=20),
        "has_rate": True,
        "has_beats": False,
    }
    said = {name: facts.pop(name) for name in IDENTITY & facts.keys()}
    return ParsedExport(file=file, identity=Identity(**said), **({"raw": file} | known | facts))


def described(exports, card=None, mistakes=(), zone="UTC", activities=None, card_place="", **known):
    stated, title = Card.model_validate(card or {}), known.pop("title", "S")
    given = (exports, stated, REGISTER, zone, activities or {}, mistakes, card_place)
    return describe("s", title, *given, **known)


def texts(intake, kind):
    return [notice.text for notice in intake.notices if notice.kind == kind]


def test_the_card_is_believed():
    card = {
        "activity": "run",
        "wearer": "ada",
        "recordings": [
            {"file": "a.csv", "device": "watch", "placement": "left_wrist"},
            {"file": "b.csv", "device": "strap", "role": "reference"},
        ],
    }
    intake = described([export("a.csv"), export("b.csv")], card)
    assert (intake.activity, intake.wearer, intake.set_aside) == ("run", "ada", None)
    assert intake.reference.recording == "strap"
    assert [(r.label, r.placement) for r in intake.tested] == [("Watch", "left_wrist")]
    assert intake.notices == ()


def test_a_device_the_register_does_not_know_is_called_as_in_the_card():
    card = {"recordings": [{"file": "a.csv", "device": "grey-watch"}]}
    assert described([export("a.csv", product="P7")], card).recordings[0].label == "grey-watch"


@pytest.mark.parametrize(
    ("exports", "reference", "ground"),
    [
        ([export("x.fit", product="S1 mini"), export("watch.fit")], "x.fit", "chest strap"),
        ([export("x.fit", has_beats=True), export("y.fit")], "x.fit", "RR intervals"),
        ([export("my_chest.fit"), export("y.fit")], "my_chest.fit", "its name"),
        ([export("Brustgurt 3.fit"), export("y.fit")], "Brustgurt 3.fit", "its name"),
        ([export("x.fit", listed="acme hrm_9"), export("y.fit")], "x.fit", "chest strap"),
        ([export("x.fit", external_sensor="a sensor"), export("y.fit")], "x.fit", "was connected"),
    ],
)
def test_without_a_card_the_reference_is_inferred_and_said(exports, reference, ground):
    intake = described(exports)
    assert intake.reference.file == reference
    assert any(ground in text for text in texts(intake, "assumed"))
    assert (intake.wearer, intake.activity) == (UNSTATED, UNSTATED)


def test_a_reference_that_cannot_be_told_is_not_guessed():
    intake = described([export("a.csv"), export("b.csv")], card_place="inbox/S b/session.yaml")
    assert intake.reference is None
    assert "give one the role 'reference' in session.yaml" in intake.set_aside
    assert "cp results/sessions/s/session.draft.yaml 'inbox/S b/session.yaml'" in intake.set_aside
    assert "# No reference is known" in draft_card(intake, "UTC")
    both = [export("a.csv", has_beats=True), export("b.csv", has_beats=True)]
    assert described(both).reference is None


def test_the_activity_is_the_files_word_where_they_agree():
    sports = [export("strap.csv", sport="Running"), export("b.csv", sport="Running")]
    assert described(sports).activity == "running"
    sports.append(export("c.csv", sport="Cycling"))
    assert described(sports).activity == UNSTATED


@pytest.mark.parametrize(
    ("title", "activity"),
    [
        ("2026-03-04 strength", "strength"),
        ("2026-03-09 Intervals 2", "intervals"),
        ("desk_2026-03-16", "desk"),
        ("2026-04-02 biking ada", "ride"),
        ("2026-03-02 brunch", "run"),  # no word of it is one
        ("2026-03-02 strength intervals", "run"),  # which of them?
    ],
)
def test_the_folders_word_is_believed_before_the_files(title, activity):
    """A watch knows strength as 'training', and intervals as running."""
    sports = [export("strap.csv"), export("b.csv", sport="running")]
    known = {"title": title, "activities": Settings().activities.root}
    intake = described(sports, **known)
    source = "exports" if activity == "run" else "folder's name"
    said = f"The activity is from the {source}: {activity}; state it in session.yaml."
    assert intake.activity == activity and said in texts(intake, "assumed")
    assert described(sports, {"activity": "commute"}, **known).activity == "commute"


def test_the_activity_is_called_what_the_bench_calls_it():
    exports = [export("strap.csv", sport="cycling"), export("b.csv", sport="Biking")]
    shipped = Settings().activities.root
    ride = described(exports, activities=shipped)
    assert ride.activity == "ride"
    assert any("The activity is from the exports: ride;" in text for text in texts(ride, "assumed"))
    assert described(exports, activities={"ride": ["cycling"]}).activity == UNSTATED
    assert described(exports[:1], activities={"ride": ["running"]}).activity == "cycling"
    assert described(exports, {"activity": "commute"}, activities=shipped).activity == "commute"


def test_the_shipped_words_are_sports_of_fit_and_tcx():
    # The FIT profile as fitdecode has it; Running, Biking and Other are all that TCX knows.
    fit_sports = set(FIELD_TYPES["sport"].enum.values())
    words = {word for words in Settings().activities.root.values() for word in words}
    assert words - fit_sports == {"biking"}


def test_an_activity_from_a_file_can_stand_in_a_card():
    exports = [export("strap.csv", sport="x" * 120), export("watch.csv")]
    activities = {"y" * 40: ["x" * 120]}
    draft = yaml.safe_load(draft_card(described(exports, activities=activities), "UTC"))
    assert Card.model_validate(draft).activity == "y" * 40


def test_a_word_for_the_sport_that_nobody_listed_is_kept_nowhere():
    intake = described([export("strap.csv", sport="Mias Lauf"), export("watch.csv")])
    assert intake.activity == UNSTATED
    assert "mia" not in intake.model_dump_json().casefold()


def test_a_recording_is_called_by_its_device_and_a_further_file_renames_none():
    exports = [export("watch.csv"), export("strap.csv")]
    assert [r.recording for r in described(exports).recordings] == ["watch", "strap"]
    further = [export("watch-0.csv", has_rate=False), *exports, export("watch2 b.csv")]
    named = {r.file: r.recording for r in described(further).recordings}
    assert named == {
        "watch.csv": "watch",
        "watch2 b.csv": "watch-2",
        "watch-0.csv": "watch-3",
        "strap.csv": "strap",
    }


def test_a_recording_takes_no_name_that_another_device_has():
    card = {
        "recordings": [
            {"file": "a", "device": "watch"},
            {"file": "b", "device": "watch"},
            {"file": "c", "device": "watch-2"},
        ]
    }
    named = [r.recording for r in described([export(f) for f in "abc"], card).recordings]
    assert named == ["watch", "watch-3", "watch-2"]


def test_a_device_that_nobody_names_is_one_of_its_own():
    """Not the one of another session, for all that is known; and nothing of its words is kept."""
    exports = [
        export("strap.csv"),
        export("mia.fit", product="Mias Uhr", serial="4711"),
        export("b.fit", listed="acme p1"),
    ]
    intake = described(exports)
    _, unknown, listed = intake.recordings
    assert (unknown.recording, unknown.label) == ("unknown-device", "Unknown device")
    assert unknown.device == "unknown.s.mia.fit"
    assert (listed.recording, listed.device, listed.label) == ("acme-p1", "acme-p1", "acme p1")
    both = described([export("x.csv", has_beats=True), export("y.csv")])
    assert [r.label for r in both.recordings] == ["Unknown device 1", "Unknown device 2"]
    kept = intake.model_dump_json().casefold()
    assert "uhr" not in kept and "4711" not in kept
    draft = yaml.safe_load(draft_card(intake, "UTC"))
    assert [entry.get("device") for entry in draft["recordings"]] == ["strap", "mia", "acme-p1"]


def test_a_device_that_the_profile_does_not_list_has_its_numbers_and_a_line_to_paste():
    unlisted = {"maker": "260", "unlisted": (260, 0), "product": "0"}
    other = {"maker": "300", "unlisted": (300, 0), "product": "0"}
    intake = described([export("strap.csv"), export("b.fit", **unlisted), export("c.fit", **other)])
    _, first, second = intake.recordings
    assert (first.device, first.label) == ("device-260-0", "Unknown device 260-0")
    assert (second.device, second.label) == ("device-300-0", "Unknown device 300-0")
    (told,) = (n.text for n in intake.notices if n.recording == first.recording)
    assert "maker 260, product 0 in the numbers of FIT" in told
    line = told.partition("under 'devices': ")[2]
    pasted = Register.model_validate({"devices": yaml.safe_load(f"{{{line}}}")})
    assert pasted.recognised("any.fit", "260", "0") == "device-260-0"


def test_the_draft_says_how_a_device_is_recognised_and_takes_no_name_of_the_register():
    intake = described([export("strap.csv"), export("Grey one_2026-03-01.csv")])
    text = draft_card(intake, "UTC")
    assert "device: grey-one\n" in text and "`strapline devices --write`" in text
    taken = {name: Device(label=name) for name in ("grey-one", "strap")}
    assert "device: grey-one-2\n" in draft_card(intake, "UTC", taken)


def test_the_draft_gives_a_straps_memory_to_the_only_strap_of_the_register():
    intake = described(two_streams())
    entries = yaml.safe_load(draft_card(intake, "UTC", REGISTER.devices))["recordings"]
    assert {"strap"} == {e["device"] for e in entries if e["stream"] == 2}


def test_a_files_name_makes_it_of_no_device_that_is_told_by_another_product():
    rule = {"maker": "260", "product": "7"}
    register = {"devices": {"mia": {"label": "Mia", "recognise": [rule]}}}
    known = Register.model_validate(register)
    other = Identity(maker="260", product="8", unlisted=(260, 8))
    assert recognised("mia.fit", other, known) is None
    assert recognised("mia.fit", Identity(maker="260", product="7"), known) == "mia"
    assert recognised("mia.csv", Identity(), known) == "mia"


def test_the_draft_of_files_that_nothing_tells_is_a_card():
    files = [export(name) for name in ("data-1.csv", "data-2.csv", "2026-03-01.csv", "strap.csv")]
    draft = yaml.safe_load(draft_card(described(files), "UTC"))
    card = Card.model_validate(draft)
    assert [r.device for r in card.recordings] == ["data", "data-2", "device-s", "strap"]
    assert described(files, draft).set_aside is None


def test_two_units_of_a_device_are_told_apart_by_numbers():
    exports = [
        export("strap.csv", serial="77"),
        export("watch.csv", serial="5"),
        export("watch b.csv", serial="6"),
        export("watch c.csv", serial="5"),
        export("watch d.csv"),
    ]
    assert [r.unit for r in described(exports).recordings] == [None, 1, 2, 1, None]


WRIST = Stream(1, "the records")
MEMORY = Stream(2, "a strap's memory", "chest_strap")


def two_streams(against=None):
    second = replace(MEMORY, against=against)
    return [export("watch.fit", told=WRIST), export("watch.fit", stream=2, told=second)]


def test_each_stream_of_a_file_is_a_recording_and_only_the_first_is_its_devices():
    intake = described(two_streams())
    assert [(r.recording, r.stream, r.label, r.role) for r in intake.recordings] == [
        ("watch", 1, "Watch", "test"),
        ("unknown-device", 2, "Unknown chest strap", "reference"),
    ]
    told = [notice.text for notice in intake.notices if "2 heart rates" in notice.text]
    assert len(told) == 2 and "stream 2, from a strap's memory" in told[1]


def test_a_further_stream_is_no_device_that_the_file_names():
    files = [export("strap.csv"), *two_streams()]
    files[2] = replace(files[2], told=replace(MEMORY, kind=None))
    assert [(r.recording, r.label) for r in described(files).tested] == [
        ("watch", "Watch"),
        ("unknown-device", "Unknown sensor"),
    ]


@pytest.mark.parametrize("strap_comes", ["first", "last"])
def test_the_reference_told_again_in_a_devices_file_is_no_device(strap_comes):
    belt = Stream(1 if strap_comes == "first" else 2, "a column (chest strap)", "chest_strap")
    wrist = Stream(3 - belt.number, "a column")
    files = [
        export("strap.csv", product="S1 Pro"),
        *(export("watch.fit", stream=n, told=belt if n == belt.number else wrist) for n in (1, 2)),
    ]
    intake = described(files)
    assert intake.reference.recording == "strap"
    assert [(r.recording, r.stream) for r in intake.tested] == [("watch", wrist.number)]
    (said,) = texts(intake, "set_aside")
    assert "strap is the session's reference: that is the reference told again" in said
    assert described(files[1:]).reference.stream == belt.number


def test_a_card_gives_one_file_as_reference_and_as_device():
    card = {
        "recordings": [
            {"file": "watch.fit", "device": "strap", "role": "reference", "stream": 2},
            {"file": "watch.fit", "device": "watch", "stream": 1},
        ]
    }
    intake = described(two_streams(), card)
    assert [(r.device, r.role, r.stream) for r in intake.recordings] == [
        ("watch", "test", 1),
        ("strap", "reference", 2),
    ]
    assert intake.set_aside is None
    again = described(two_streams(), yaml.safe_load(draft_card(intake, "UTC")))
    assert again.recordings == intake.recordings


def test_an_entry_without_a_stream_is_for_the_straps_where_the_device_is_a_strap():
    card = {"recordings": [{"file": "watch.fit", "device": "strap", "role": "reference"}]}
    first, second = described(two_streams(), card).recordings
    assert (second.device, second.role, second.set_aside) == ("strap", "reference", None)
    assert "add it, with its file and stream: 1, under 'recordings'" in first.set_aside


def test_a_device_is_that_of_the_stream_that_an_average_is_made_of():
    average = Stream(1, "a column", against="It is made of stream 2.")
    files = [
        export("strap.csv", product="S1 Pro"),
        export("watch.fit", told=average),
        export("watch.fit", stream=2, told=Stream(2, "a column")),
    ]
    assert [(r.recording, r.stream) for r in described(files).tested] == [("watch", 2)]


def test_one_sensor_told_twice_is_used_once_unless_the_card_names_it():
    intake = described([export("strap.csv"), *two_streams("It agrees.")])
    assert [r.set_aside for r in intake.recordings] == [None, None, "It agrees."]
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference"},
            {"file": "watch.fit", "device": "watch", "stream": 2},
        ]
    }
    named = described([export("strap.csv"), *two_streams("It agrees.")], card)
    assert named.recordings[2].set_aside is None


def test_of_an_archive_only_what_shares_the_sessions_time_is_used():
    day = dt.timedelta(days=1)
    archive = [
        export(
            "watch.zip",
            format="zip",
            stream=n,
            told=Stream(n, f"in export {n}"),
            first=START + (n - 2) * day,
            last=START + (n - 2) * day + dt.timedelta(minutes=20),
        )
        for n in (1, 2, 3)
    ]
    for card in (None, {"recordings": [{"file": "watch.zip", "device": "watch"}]}):
        files = [export("strap.csv"), *archive]
        if card:
            strap = {"file": "strap.csv", "device": "strap", "role": "reference"}
            card = {"recordings": [strap, *card["recordings"]]}
        intake = described(files, card)
        assert [(r.device, r.stream) for r in intake.tested] == [("watch", 2)]
        (said,) = texts(intake, "set_aside")
        assert said.startswith("An archive in the folder holds 3 recordings; 2 of them share no")
    assert len(described(archive).recordings) == 3


def test_a_stream_that_is_not_there_is_said():
    card = {"recordings": [{"file": "watch.fit", "device": "watch", "stream": 3}]}
    aside = " ".join(texts(described(two_streams(), card), "set_aside"))
    assert "names stream 3 of the file for watch, which holds 2" in aside


def test_what_a_watch_downloaded_from_a_strap_is_not_the_watchs_own():
    alone = [export("watch.fit", told=replace(MEMORY, number=1)), export("b.csv")]
    intake = described(alone)
    assert (intake.recordings[0].label, intake.recordings[0].role) == (
        "Unknown chest strap",
        "reference",
    )


def test_one_bad_file_loses_nothing_else():
    exports = [export("strap.csv"), export("a.csv"), export("b.csv", set_aside="Broken.")]
    intake = described(exports)
    assert intake.set_aside is None
    assert [r.file for r in intake.tested] == ["a.csv"]
    assert texts(intake, "set_aside") == ["Broken."]


def test_a_bad_reference_sets_the_session_aside():
    card = {
        "recordings": [
            {"file": "a.csv", "device": "strap", "role": "reference"},
            {"file": "b.csv", "device": "watch"},
        ]
    }
    intake = described([export("a.csv", has_rate=False), export("b.csv")], card)
    assert "The reference cannot be used. strap: It holds no heart rate" in intake.set_aside


def test_the_same_file_twice_is_one_recording():
    exports = [export("strap.csv"), export("a.csv", sha256="1"), export("b.csv", sha256="1")]
    intake = described(exports)
    assert [r.file for r in intake.tested] == ["a.csv"]
    (text,) = texts(intake, "set_aside")
    assert "same file as another one of the session, which is used once" in text


DOUBLES = ["strap (1).csv", "strap.csv"]


@pytest.mark.parametrize(
    ("named", "aside"),
    [(None, 0), ({"file": "strap.csv"}, 0), ({"file": "strap (1).csv"}, 1), ({}, 0)],
)
def test_of_two_copies_the_card_names_one_else_the_plainer_name_is_kept(named, aside):
    """A card need not name the file."""
    files = [export(file, sha256="strap") for file in DOUBLES] + [export("watch.csv")]
    entries = [{"device": "strap", "role": "reference"} | (named or {}), {"device": "watch"}]
    found = described(files, None if named is None else {"recordings": entries})
    assert [r.file for r in found.recordings if r.set_aside] == [DOUBLES[aside]]
    assert found.reference.file == DOUBLES[not aside]
    (text,) = texts(found, "set_aside")
    assert text == "It is the same file as another one of the session, which is used once."


@pytest.mark.parametrize("is_left", [True, False])
def test_a_second_export_of_a_file_that_the_card_names_is_taken_for_one(is_left):
    again = export("a (1).csv", sha256="again")
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference"},
            {"file": "a.csv", "device": "watch"},
        ]
    }
    files = [export("strap.csv"), again, export("b.csv"), *([export("a.csv")] if is_left else [])]
    found = described(files, card).recordings
    assert [r.set_aside for r in found if r.set_aside] == [
        "It is not named in session.yaml, and looks like another export of watch. To use it, write "
        "its name there in place of the other file's.",
        "It is not named in session.yaml; add it under 'recordings' to use it.",
    ]


def test_card_and_folder_that_do_not_match():
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference"},
            {"file": "gone.csv", "device": "watch"},
            {"file": "a.csv", "device": "watch"},
        ]
    }
    intake = described([export("strap.csv"), export("a.csv"), export("extra.csv")], card)
    aside = " ".join(texts(intake, "set_aside"))
    assert "The file that session.yaml names for watch is not in the folder" in aside
    assert "It is not named in session.yaml" in aside
    assert "gone.csv" not in aside and "extra.csv" not in aside


def test_a_card_with_mistakes_is_not_overruled_by_guesses():
    intake = described([export("strap.csv"), export("a.csv")], mistakes=["session.yaml: x."])
    assert intake.set_aside == "session.yaml: x."


def test_nothing_to_compare():
    assert "holds no exports" in described([]).set_aside
    assert "No device is left" in described([export("strap.csv")]).set_aside


def test_clocks_are_completed():
    exports = [
        export("strap.csv", clock="elapsed", first=None),
        export("a.csv", clock="local", first=dt.datetime(2026, 7, 1, 10, tzinfo=dt.UTC)),
    ]
    intake = described(exports, zone="Europe/Lisbon")
    notes = {r.file: r.clock_note for r in intake.recordings}
    assert notes["a.csv"].time_zone == "Europe/Lisbon"
    # Lisbon is an hour ahead of UTC in July; the elapsed file is placed at the other's start.
    assert notes["strap.csv"].starts_at == dt.datetime(2026, 7, 1, 9, tzinfo=dt.UTC)
    assumed = " ".join(texts(intake, "assumed"))
    assert "Its file gives times without a zone; they are read as Europe/Lisbon time" in assumed
    assert "Its file gives only time since the start" in assumed


def test_a_start_that_is_assumed_is_asked_for_until_it_is_stated():
    """A card that stated it would end the question with what nobody said."""
    exports = [export("strap.csv", clock="elapsed", first=None), export("a.csv")]
    intake = described(exports)
    assert [r.file for r in intake.with_open_start] == ["strap.csv"]
    text = draft_card(intake, "UTC")
    assert "# When did strap.csv begin, to the second?" in text
    again = described(exports, yaml.safe_load(text))
    assert "starts_at" not in yaml.safe_load(text)["recordings"][0].get("clock", {})
    assert [r.file for r in again.with_open_start] == ["strap.csv"]
    assert "taken to start with the session" in " ".join(texts(again, "assumed"))
    for said in ({"starts_at": START}, {"offset_s": 12}, {"trusted": True}):
        card = yaml.safe_load(text)
        card["recordings"][0]["clock"] = said
        told = described(exports, card)
        assert told.with_open_start == ()
        assert "When did" not in draft_card(told, "UTC")


def test_firmware_is_the_cards_word_before_the_files():
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference", "firmware": "9"},
            {"file": "a.csv", "device": "watch"},
            {"file": "b.csv", "device": "watch"},
        ]
    }
    exports = [
        export("strap.csv", firmware="1.0"),
        export("a.csv", firmware="2.10"),
        export("b.csv", firmware="x" * 120),
    ]
    intake = described(exports, card)
    assert [r.firmware for r in intake.recordings] == ["9", "2.10", "x" * 40]
    again = described(exports, yaml.safe_load(draft_card(intake, "UTC")))
    assert again.recordings == intake.recordings


def test_a_draft_keeps_which_column_the_heart_rate_is_taken_from():
    entry = {"file": "a.csv", "device": "watch", "heart_rate": "HR: 2"}
    intake = described([export("strap.csv"), export("a.csv")], {"recordings": [entry]})
    assert intake.recordings[1].heart_rate == "HR: 2"
    assert entry in yaml.safe_load(draft_card(intake, "UTC"))["recordings"]


SENSOR = "a heart-rate sensor connected over ANT+"


def test_a_watch_that_was_connected_to_a_sensor_is_told():
    exports = [export("strap.csv"), export("watch.fit", external_sensor=SENSOR), export("b.csv")]
    intake = described(exports)
    told = [notice for notice in intake.notices if SENSOR in notice.text]
    assert [(notice.kind, notice.recording) for notice in told] == [("assumed", "watch")]
    assert "say own_sensor: true in session.yaml" in told[0].text
    assert intake.set_aside is None


@pytest.mark.parametrize(
    "entry", [{"own_sensor": True}, {"role": "reference"}, {"device": "strap"}]
)
def test_a_sensor_is_no_matter_where_it_is_known_or_meant_to_be_the_straps(entry):
    known = {"file": "w.fit", "device": "watch"} | entry
    exports = [export("w.fit", external_sensor=SENSOR), export("strap.csv")]
    intake = described(exports, {"recordings": [known, {"file": "strap.csv", "device": "strap"}]})
    assert not any(SENSOR in notice.text for notice in intake.notices)


def local(hours_ahead, file="watch.csv"):
    """A watch's export of the session's twenty minutes, by a clock so far ahead of UTC."""
    first = START + dt.timedelta(hours=hours_ahead)
    return export(file, clock="local", first=first, last=first + dt.timedelta(minutes=20))


@pytest.mark.parametrize(("offset_h", "zone"), [(2, "UTC+02:00"), (-3.5, "UTC-03:30")])
def test_an_offset_another_file_states_is_used_where_the_default_cannot_be_meant(offset_h, zone):
    exports = [export("strap.fit", utc_offset_s=int(3600 * offset_h)), local(offset_h)]
    intake = described(exports)
    assert intake.recordings[1].clock_note.time_zone == zone
    said = " ".join(texts(intake, "clock"))
    assert f"they are read as {zone} time. That is what another file" in said
    assert "as UTC time they would share no time with it" in said
    again = described(exports, yaml.safe_load(draft_card(intake, "UTC")))
    assert again.recordings == intake.recordings


@pytest.mark.parametrize(
    ("exports", "entry"),
    [
        # Both are so long that it shares time with the strap either way.
        ([export("strap.fit", utc_offset_s=900), local(0.25)], {}),
        # It shares no time either way.
        ([export("strap.fit", utc_offset_s=7200), local(5)], {}),
        # Two files disagree.
        ([export("strap.fit", utc_offset_s=7200), local(2), export("b", utc_offset_s=8100)], {}),
        # Nobody states an offset.
        ([export("strap.fit"), local(2)], {}),
        # The strap's clock was wrong.
        ([export("strap.fit", utc_offset_s=7200), local(2)], {"strap.fit": {"offset_s": 3600}}),
        # The tester said what is to be done with the watch's clock.
        ([export("strap.fit", utc_offset_s=7200), local(2)], {"watch.csv": {"offset_s": -7200}}),
    ],
)
def test_an_offset_another_file_states_is_left_where_it_may_be_wrong(exports, entry):
    recordings = [
        {"file": e.file, "device": e.file.split(".")[0], "clock": entry.get(e.file, {})}
        for e in exports
    ]
    intake = described(exports, {"recordings": recordings})
    assert intake.recordings[1].clock_note.time_zone == "UTC"


def test_the_cards_zone_goes_before_an_offset_another_file_states():
    exports = [export("strap.fit", utc_offset_s=7200), local(2)]
    entry = {"file": "watch.csv", "device": "watch", "clock": {"time_zone": "UTC-01:00"}}
    intake = described(exports, {"recordings": [entry]})
    assert intake.recordings[1].clock_note.time_zone == "UTC-01:00"


def test_a_draft_card_states_what_was_inferred():
    exports = [
        export("strap.csv", clock="elapsed", first=None),
        export("watch: 1.csv", clock="local", sport="run"),
        export("bad.csv", set_aside="Broken:\n- it is"),
    ]
    stated = {"segments": [{"label": "a", "from": 1, "to": 2}], "body": {"age_years": 34}}
    inferred = described(exports, stated)
    text = draft_card(inferred, "UTC")
    assert "# wearer: ?\n" in text
    again = described(exports[:2], yaml.safe_load(text))
    assert again.recordings == inferred.recordings[:2]
    assert (again.activity, again.segments) == (inferred.activity, inferred.segments)
    assert again.body == inferred.body and again.body.age_years == 34


PLANNED = {
    "recordings": [
        {"device": "strap", "role": "reference", "placement": "chest"},
        {"device": "watch", "placement": "left_wrist"},
        {"device": "red-band", "placement": "right_wrist"},
    ]
}


def test_a_card_written_before_the_workout_finds_its_files():
    """By the register's rules, or by a name that begins with the device's."""
    exports = [
        export("a.fit", product="S1 pro"),
        export("watch-7.csv"),
        export("Red band (1).csv"),
    ]
    intake = described(exports, PLANNED)
    assert [(r.device, r.role, r.placement, r.set_aside) for r in intake.recordings] == [
        ("strap", "reference", "chest", None),
        ("watch", "test", "left_wrist", None),
        ("red-band", "test", "right_wrist", None),
    ]


@pytest.mark.parametrize(
    ("file", "device"), [("watch-7.csv", "wach"), ("watch-7.csv", "grey-one"), (None, "wacth")]
)
def test_a_misspelt_device_is_a_mistake_where_the_file_tells_which_is_meant(file, device):
    entry = {"device": device} | ({"file": file} if file else {})
    strap = {"file": "a.fit", "device": "strap", "role": "reference"}
    exports = [export("a.fit", product="S1"), export("watch-7.csv")]
    intake = described(exports, {"recordings": [strap, entry]})
    assert intake.set_aside == (
        f"session.yaml: entry 2 of 'recordings': 'device' is '{device}', which config/devices.yaml "
        "does not know; did you mean 'watch'?"
    )


@pytest.mark.parametrize(
    ("file", "device"),
    [("watch-two 1.csv", "watch-two"), ("b.csv", "wacth"), ("watch-7.csv", "watch")],
)
def test_a_new_device_is_no_mistake(file, device):
    strap = {"file": "a.fit", "device": "strap", "role": "reference"}
    exports = [export("a.fit", product="S1"), export(file)]
    card = {"recordings": [strap, {"file": file, "device": device}]}
    assert described(exports, card).set_aside is None


def test_a_card_written_before_the_workout_does_not_guess():
    exports = [export("a.fit", product="S1"), export("watch1.csv"), export("watch2.csv")]
    intake = described(exports, PLANNED)
    assert [r.file for r in intake.tested] == []
    aside = " ".join(texts(intake, "set_aside"))
    assert "It is not named in session.yaml" in aside
    assert "lists watch, and no file is recognised as its export" in aside
    assert "lists red-band, and no file" in aside


def test_a_recording_is_left_out_for_the_reason_that_the_card_gives():
    card = {
        "recordings": [
            {"file": "old.csv", "device": "strap", "role": "reference", "leave_out": "came loose"},
            {"file": "new.csv", "device": "strap", "role": "reference"},
            {"file": "watch.csv", "device": "watch"},
            {"file": "band.csv", "device": "band", "leave_out": "battery died"},
            {"file": "gone.csv", "device": "ring", "leave_out": "never switched on"},
        ]
    }
    files = [export(f"{name}.csv") for name in ("old", "new", "watch", "band")]
    intake = described(files, card)
    assert intake.set_aside is None
    assert intake.reference.file == "new.csv"
    assert [entry.file for entry in intake.tested] == ["watch.csv"]
    assert texts(intake, "set_aside") == [
        "It is left out, as session.yaml says: came loose",
        "It is left out, as session.yaml says: battery died",
    ]
    drafted = Card.model_validate(yaml.safe_load(draft_card(intake, "UTC")))
    assert {r.file: r.leave_out for r in drafted.recordings} == {
        "old.csv": "came loose",
        "new.csv": None,
        "watch.csv": None,
        "band.csv": "battery died",
    }


def test_where_every_device_is_left_out_the_reason_is_the_sessions():
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference"},
            {"file": "watch.csv", "device": "watch", "leave_out": "battery died"},
        ]
    }
    intake = described([export("strap.csv"), export("watch.csv")], card)
    assert intake.set_aside == (
        "No device is left to compare with the reference. "
        "watch: It is left out, as session.yaml says: battery died"
    )


BROKEN = ClockFault("broken", "Its clock jumps")
UNDATED = ClockFault("undated", "Its times are of the year 9999")


def test_a_clock_that_no_card_can_mend_sets_its_recording_aside_by_name():
    files = [export("strap.csv"), export("watch.csv", clock_fault=BROKEN), export("band.csv")]
    (told,) = texts(described(files), "set_aside")
    assert told == ("Its clock jumps; cut the file in two there, and keep the right part.")
    assert told in described(files[:2]).set_aside


def test_times_without_a_date_need_the_cards_word_or_another_file_of_their_clock():
    files = [export("strap.csv"), export("watch.csv", clock_fault=UNDATED), export("band.csv")]
    (told,) = texts(described(files), "set_aside")
    assert told == (
        "Its times are of the year 9999; say when it began under clock.starts_at in session.yaml."
    )
    entries = [{"file": f"{name}.csv", "device": name} for name in ("strap", "watch", "band")]
    entries[1]["clock"] = {"starts_at": START}
    assert not texts(described(files, {"recordings": entries}), "set_aside")
    files[0] = export("strap.csv", clock_fault=UNDATED)
    assert not texts(described(files), "set_aside")


def test_a_clock_that_jumped_is_told_where_the_rest_is_used():
    jump = ClockFault("jump", "Its clock jumps; 3 of its 9 times are not used")
    intake = described([export("strap.csv"), export("watch.csv", clock_fault=jump)])
    assert len(intake.tested) == 1
    assert "Its clock jumps; 3 of its 9 times are not used." in texts(intake, "clock")


def test_what_speaks_for_a_clock_goes_with_the_recording():
    files = [export("strap.csv", product="S1", satellite=True), export("watch.csv")]
    strap, watch = described(files).recordings
    assert (strap.satellite, strap.time_from) == (True, None)
    assert (watch.satellite, watch.time_from) == (False, "phone")


def test_a_session_may_use_the_whole_register_where_its_card_names_a_device_that_is_not_there():
    assert list(REGISTER.restricted({"watch"}).devices) == ["watch"]
    assert REGISTER.restricted({"wacth", "strap"}) == REGISTER


@pytest.mark.parametrize(
    ("zone", "hour", "begins"),
    [("UTC", 10, "10:05"), ("Europe/Berlin", 11, "10:05"), ("Pacific/Auckland", 23, "10:05")],
)
def test_times_of_day_are_read_on_the_day_of_the_other_files(zone, hour, begins):
    watch = export(
        "watch.csv", clock="elapsed", first=None, times_of_day=True, first_s=hour * 3600 + 300.0
    )
    intake = described([export("strap.fit", product="S1 Pro"), watch], zone=zone)
    noted = intake.tested[0].clock_note.starts_at
    assert f"{noted:%Y-%m-%d %H:%M}" == f"2026-03-01 {begins}"
    assert any("times of day without a date" in text for text in texts(intake, "assumed"))
    alone = described([replace(watch, file="other.csv"), watch], zone=zone)
    assert not any("without a date" in text for text in texts(alone, "assumed"))


AUTUMN = dt.datetime(2025, 10, 26, 2, 5, tzinfo=dt.UTC)  # shown twice in Berlin that night


@pytest.mark.parametrize(
    ("strap_from", "zone", "said"),
    [
        ("2025-10-26T00:00", "Europe/Berlin", "set back that night"),
        ("2025-10-26T01:00", "UTC+01:00", "the second is that of the session's other files"),
    ],
)
def test_an_hour_shown_twice_is_that_of_the_other_files(strap_from, zone, said):
    first = dt.datetime.fromisoformat(strap_from).replace(tzinfo=dt.UTC)
    strap = export("strap.fit", product="S1 Pro", first=first, last=first + dt.timedelta(hours=1))
    last = AUTUMN + dt.timedelta(minutes=40)
    watch = export("watch.csv", clock="local", first=AUTUMN, last=last)
    intake = described([strap, watch], zone="Europe/Berlin")
    assert intake.tested[0].clock_note.time_zone == zone
    assert any(said in notice.text for notice in intake.notices)


@pytest.mark.parametrize(
    ("length_s", "unit_s", "scale", "called"),
    [
        (11_000, 1.0, 0.1, "tenths of a second"),
        (20, 1.0, 60, "minutes"),
        (120, 1e-3, 10, "hundredths of a second"),
        (900, 1.0, 1, None),  # about as long as it is
        (4000, 1.0, 1, None),  # in no unit
    ],
)
def test_the_other_files_tell_the_unit_of_times(length_s, unit_s, scale, called):
    strap = export("strap.fit", product="S1 Pro", length_s=1200.0)
    facts = {"clock": "elapsed", "first": None, "length_s": float(length_s), "first_s": 0.0}
    intake = described([strap, export("watch.csv", unit_s=unit_s, **facts)])
    assert intake.tested[0].time_scale == pytest.approx(scale)
    said = " ".join(texts(intake, "clock"))
    assert (f"read as {called}, for then" in said) if called else ("unit" not in said)
    stated = described([strap, export("watch.csv", unit_s=None, **facts)])
    assert stated.tested[0].time_scale == 1


def test_the_day_goes_before_the_month_where_only_then_files_share_time():
    began = dt.datetime(2026, 3, 4, 17, 30, tzinfo=dt.UTC)
    last = dt.timedelta(minutes=20)
    strap = export("strap.fit", product="S1 Pro", first=began, last=began + last)
    shown = began.replace(month=4, day=3)
    watch = export("watch.csv", clock="local", first=shown, last=shown + last)
    intake = described([strap, watch])
    assert intake.tested[0].clock_note.starts_at == began
    assert any("with the day before the month" in text for text in texts(intake, "assumed"))
    far = replace(watch, first=shown + dt.timedelta(days=5), last=shown + dt.timedelta(days=6))
    assert described([strap, far]).tested[0].clock_note.starts_at is None


def test_a_file_that_breaks_off_is_told_once():
    text = "The file breaks off after 9 records; what came before is used."
    streams = [replace(each, broken_off=text) for each in two_streams()]
    intake = described([export("strap.csv"), *streams])
    assert texts(intake, "broken_off") == [text]
