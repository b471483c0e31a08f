import datetime as dt
import os

import pytest

from strapline.ground.settings import Settings
from strapline.reading.inbox.discovery import read_inbox
from strapline.reading.inbox.glance import Glance

START = dt.datetime(2026, 3, 2, 18, 5, tzinfo=dt.UTC)


def read(inbox, zone="UTC", headings=None):
    settings = Settings.model_validate({"clock": {"time_zone": zone}, "headings": headings or {}})
    return read_inbox(inbox, settings, inbox.parent / "results")


def write_export(path, minutes_late=0, minutes=20, clock="Z"):
    start = START + dt.timedelta(minutes=minutes_late)
    rows = [
        f"{start + dt.timedelta(seconds=10 * n):%Y-%m-%dT%H:%M:%S}{clock},{90 + n % 50}"
        for n in range(minutes * 6)
    ]
    path.write_text("\n".join(["time,heart_rate", *rows]) + "\n")


def test_an_inbox_is_told_from_names_alone(tmp_path):
    folder = tmp_path / "2026-03-02 Intervals"
    folder.mkdir()
    for name in ("Strap.fit", "watch.csv", "watch.gpx", "session.yaml", ".hidden"):
        (folder / name).write_text("not read")
    (folder / "photos").mkdir()
    inbox = read(tmp_path)
    session = inbox.sessions["2026-03-02-intervals"]
    assert session.title == "2026-03-02 Intervals"
    assert [path.name for path in session.exports] == ["Strap.fit", "watch.csv", "watch.gpx"]
    assert session.card == folder / "session.yaml"
    assert any("photos is not a file" in sentence for sentence in inbox.left_alone)


def test_no_inbox_is_an_empty_inbox(tmp_path):
    assert read(tmp_path / "nothing").sessions == {}


def test_special_files_are_left_alone(tmp_path):
    folder = tmp_path / "s"
    folder.mkdir()
    os.mkfifo(folder / "pipe.fit")
    (folder / "bad\nname.fit").write_text("")
    inbox = read(tmp_path)
    assert inbox.sessions["s"].exports == ()
    assert any("pipe.fit is not a file" in sentence for sentence in inbox.left_alone)
    assert any(r"'bad\nname.fit'" in sentence for sentence in inbox.left_alone)


def test_devices_named(tmp_path):
    card = tmp_path / "session.yaml"
    card.write_text("recordings: [{file: a, device: strap}, {file: b, device: watch}]")
    assert Glance(card).devices == {"strap", "watch"}
    card.write_text("recordings: [")
    assert Glance(card).devices is None
    assert Glance(None).devices is None


def test_loose_files_that_share_their_time_are_a_session(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    write_export(inbox / "watch.csv", minutes_late=2)
    write_export(inbox / "cut.csv", minutes_late=1, minutes=6)
    write_export(inbox / "day.csv", minutes_late=-600, minutes=1440)
    write_export(inbox / "evening.csv", minutes_late=60)
    found = read(inbox)
    assert found.left_alone == ()
    assert {name: [path.stem for path in s.exports] for name, s in found.sessions.items()} == {
        "2026-03-02-0805": ["day"],
        "2026-03-02-1805": ["cut", "strap", "watch"],
        "2026-03-02-1905": ["evening"],
    }


def test_a_card_for_loose_files_lies_beside_them(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    (inbox / "2026-03-02-1805.yaml").write_text("activity: run")
    (inbox / "2026-03-03-1805.yaml").write_text("activity: run")
    found = read(inbox)
    assert found.sessions["2026-03-02-1805"].card == inbox / "2026-03-02-1805.yaml"
    assert found.left_alone == (
        "2026-03-03-1805.yaml is the card of no session; "
        "a session's folder has its own as session.yaml.",
    )


def test_a_folder_takes_nothing_from_loose_files_of_its_name(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    (inbox / "2026-03-02-1805.yaml").write_text("activity: run")
    (inbox / "2026-03-02-1805").mkdir()
    write_export(inbox / "2026-03-02-1805" / "watch.csv")
    found = read(inbox)
    assert found.sessions == {}
    assert found.left_alone == (
        "2026-03-02-1805 waits: strap.csv (loose in the inbox) has the same name among the "
        "results, 2026-03-02-1805. Rename it.",
        "strap.csv (loose in the inbox) waits: 2026-03-02-1805 has the same name among the "
        "results, 2026-03-02-1805. Put them in a folder of another name.",
    )


def test_loose_files_are_named_on_the_testers_clock(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    write_export(inbox / "watch.csv", minutes_late=60, clock="")
    assert list(read(inbox, "Europe/Berlin").sessions) == ["2026-03-02-1905"]


def test_a_loose_file_is_read_once(tmp_path, monkeypatch):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    before = read(inbox)
    with monkeypatch.context() as broken:
        broken.setattr("strapline.reading.formats.read_export", None)
        assert read(inbox) == before
    (inbox / "strap.csv").write_text(" ")
    assert "strap.csv lies directly in the inbox." in read(inbox).left_alone[0]


def test_a_loose_file_is_read_again_with_other_headings(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "strap.csv")
    text = (inbox / "strap.csv").read_text()
    (inbox / "strap.csv").write_text(text.replace("heart_rate", "Optischer Sensor"))
    assert "no heart rate column" in read(inbox).left_alone[0]
    found = read(inbox, headings={"heart_rate": ("optischer sensor",)})
    assert (list(found.sessions), found.left_alone) == (["2026-03-02-1805"], ())


def test_a_loose_file_without_a_clock_is_left_alone_and_said(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "rr.txt").write_text("800\n810\n" * 50)
    found = read(inbox)
    assert found.sessions == {}
    assert found.left_alone == (
        "rr.txt lies directly in the inbox. It gives no time of day, only the time since its "
        "start. Put it in a folder with the other files of its session.",
    )


@pytest.mark.parametrize(
    ("years", "told"),
    [
        ((2026, 2027), "Its clock jumps from 2026-03-02 18:14:50 to 2027-03-02 18:15:00"),
        ((9999, 9999), "Its times are of the year 9999. Put it in a folder"),
        ((1970, 1970), "Its times go from 1970-03-02 18:05:00 on: they count from when"),
    ],
)
def test_a_loose_file_with_a_wrong_clock_is_told_by_what_is_wrong(tmp_path, years, told):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    write_export(inbox / "watch.csv")
    head, *rows = (inbox / "watch.csv").read_text().splitlines()
    rows = [f"{years[n >= len(rows) / 2]}{row[4:]}" for n, row in enumerate(rows)]
    (inbox / "watch.csv").write_text("\n".join([head, *rows]))
    found = read(inbox)
    assert found.sessions == {}
    assert told in found.left_alone[0]


def test_hints_stated_for_a_file(tmp_path):
    card = tmp_path / "session.yaml"
    card.write_text(
        "recordings: [{file: a.csv, device: a, clock: {dates: month_first}, heart_rate: HR 2}, "
        "{file: b.csv, device: b, clock: {dates: sideways}, heart_rate: [1]}, {file: c.csv}, 5]"
    )
    stated = {name: Glance(card).hints(f"{name}.csv") for name in "abcd"}
    assert stated == {
        "a": {"dates": "month_first", "heart_rate": "HR 2"},
        "b": {},
        "c": {},
        "d": {},
    }
    assert Glance(None).hints("a.csv") == {}


def test_a_loose_file_whose_dates_a_card_must_settle_is_told_where_a_card_goes(tmp_path):
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "watch.csv").write_text("time,hr\n03/04/2026 10:00,60\n03/04/2026 10:01,61\n")
    told = read(inbox).left_alone[0]
    assert "day first or month first; say which in the session card" in told
    assert "Put the files of its session in a folder, with a card (session.yaml)" in told
