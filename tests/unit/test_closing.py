import re
from pathlib import Path

import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.files import write_model
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.card import ClockNote
from strapline.ground.records.intake import read_intake
from strapline.ground.records.ledger import ComparisonLedger, RecordingLedger, SessionLedger, Tally
from strapline.ground.records.register import Device, Register
from strapline.ground.records.wearers import Wearers
from strapline.ground.settings import Clock, Episodes, Settings, Tolerance
from strapline.ground.tables.archive import DEVICES, NOTICES, SESSIONS
from strapline.ground.tables.editions import CHANGES, KEY_NAMES
from strapline.ground.tables.sessions import COURSES, EPISODES, SENTENCES
from strapline.keeping.receipts import Places
from strapline.method.episodes.session_episodes import session_episodes
from strapline.reading.inbox.discovery import Inbox, SessionFolder
from strapline.reading.inbox.readable import LeftAlone
from strapline.running import closing
from strapline.running.closing import failure, not_as_made
from strapline.running.commands.bench import Bench
from strapline.running.commands.status import state
from strapline.running.lines import MOST_LINES, WIDEST, whole, wrapped
from strapline.running.own import Own
from strapline.running.taken import Taken
from strapline.running.told import forget, told_before
from unit.episodes import story

FAULT = {
    "wearer": "w",
    "activity": "run",
    "kind": "reads_low",
    "start": pd.Timestamp("2026-03-01", tz="UTC"),
    "end": pd.Timestamp("2026-03-01T00:04", tz="UTC"),
    "start_s": 0,
    "end_s": 240,
    "share": 0.1,
    "evidence": "So.",
    "on_track_after_s": 0,
}


def archive(results, *names):
    """An archive of sessions in which nothing could be compared."""
    (results / "archive").mkdir(parents=True)
    (results / "report").mkdir()
    (results / "report" / "index.html").touch()
    common = {"wearer": "w", "activity": "run", "devices": 0}
    common |= {"clocks_aligned": 0, "clocks_left": 0}
    rows = [{"session": name, "title": name, **common} for name in names]
    SESSIONS.write(SESSIONS.from_rows(rows), results / "archive" / "sessions.parquet")
    NOTICES.write(NOTICES.empty(), results / "archive" / "notices.parquet")
    for name in names:
        folder = results / "sessions" / name
        folder.mkdir(parents=True)
        write_model(folder / "intake.json", session(name=name, set_aside="No strap."))
        clocks = SessionAlignment(session=name, reference=None, clocks=())
        write_model(folder / "alignment.json", clocks)
        write_model(
            folder / "ledger.json", SessionLedger(session=name, recordings=(), comparisons=())
        )
    return str(results)


def summary(
    results, looked_at=(), *, there=(), left_alone=(), waiting=(), no_more=(), devices=None, zone=""
):
    """`there`: the inbox's sessions, whether this run looked at them or not; `devices`: the
    register's, all that sessions have by default."""
    places = Places(Path(results), Path("inbox"))
    found = [read_intake(path) for path in places.results.glob("sessions/*/intake.json")]
    worn = {entry.device for each in found for entry in each.recordings if "." not in entry.device}
    register = {name: Device(label=name) for name in (worn if devices is None else devices)}
    settings = Settings(clock=Clock(time_zone=zone or "Europe/Lisbon"))
    own = Own(settings, Register(devices=register), Wearers(), places)
    left = tuple(LeftAlone(each, each) for each in left_alone)
    folders = {name: SessionFolder(name, name, None, ()) for name in there}
    taken = Taken(Inbox(folders, left, tuple(waiting)), {}, {}, tuple(no_more))
    return closing.summary(own, taken, looked_at)


def test_a_new_session_is_told_with_its_verdict(tmp_path):
    said = summary(archive(tmp_path, "s-1", "s-2"), looked_at=["s-2"])
    assert "2 sessions, 1 new.\n  s-2: Does not count. No strap.\n" in said
    assert "s-1" not in said


def test_no_report_is_named_that_nobody_asked_for(tmp_path):
    results = archive(tmp_path, "s-1")
    assert f"\nReport: {results}/report/index.html" in summary(results)
    (tmp_path / "report" / "index.html").unlink()
    assert "Report:" not in summary(results)


def test_what_was_set_aside_is_said_once_with_the_names_of_its_files(tmp_path):
    """Which the archive's tables do not have."""
    results = archive(tmp_path, "s-1")
    path = tmp_path / "sessions" / "s-1" / "intake.json"
    unread = recording("watch-2", file="mia.csv", set_aside="It holds no heart rate.")
    other = recording("watch-3", file="mia (2).csv", set_aside="It holds no heart rate.")
    write_model(path, read_intake(path).model_copy(update={"recordings": (unread, other)}))
    rows = [
        {"session": "", "kind": "set_aside", "text": "A file lies directly in the inbox."},
        {"session": "s-1", "recording": "watch-2", "kind": "set_aside", "text": "It is empty."},
        {"session": "s-1", "recording": "watch-3", "kind": "set_aside", "text": "It is empty."},
        {"session": "s-1", "recording": "watch-3", "kind": "set_aside", "text": "No strap."},
        {"session": "s-1", "kind": "set_aside", "text": "No strap."},
    ]
    NOTICES.write(NOTICES.from_rows(rows), tmp_path / "archive" / "notices.parquet")
    left = {"left_alone": ["x.csv lies directly in the inbox."]}
    lines = ["  x.csv lies directly in the inbox.", "  s-1, mia.csv and mia (2).csv: It is empty."]
    said = summary(results, looked_at=["s-1"], **left)
    assert said.splitlines()[3:6] == ["Set aside:", *lines]
    again = summary(results, **left)
    assert again.splitlines()[1:] == [
        "1 session, none new.",
        "As told before: 3 set aside. In full:",
        f"  strapline status --results {results}",
        f"Report: {results}/report/index.html",
    ]
    now = status(tmp_path, ["s-1"], **left)
    assert now[-3:] == ["Set aside:", *lines]
    assert "  s-1: Does not count. No strap." in now


def test_what_a_failed_run_computed_is_told_by_the_next(tmp_path):
    """Which has nothing to compute; until then `strapline status` tells of it."""
    results = archive(tmp_path, "s-1", "s-2")
    summary(results, looked_at=["s-1"], there=["s-1"])
    now = status(tmp_path, ["s-1", "s-2"])
    told = now.index("Computed, and told by the next run that ends well:")
    assert now[told + 1] == "  s-2: Does not count. No strap."
    assert "  s-1: Does not count. No strap." in now[told + 2 :]
    said = summary(results, there=["s-1", "s-2"])
    assert said.startswith("\n2 sessions, 1 new.\n  s-2: Does not count. No strap.\n")
    assert not any(line.startswith("Computed") for line in status(tmp_path, ["s-1", "s-2"]))
    change(tmp_path, card_sha256="2" * 64)
    summary(results, looked_at=["s-1"])
    change(tmp_path, card_sha256=None)
    again = summary(results, there=["s-1", "s-2"])
    assert again.startswith("\n2 sessions, 1 with another card.\n  s-1 (with another card): ")


def status(results, sessions, left_alone=(), cards=(), no_more=()):
    """The lines of `strapline status`, with these sessions in the inbox as they were computed, but
    for new `cards`."""
    for name in ("settings", "devices"):
        (results / f"{name}.yaml").write_text("{}")
    contents, folders = {Path("card"): "new"}, {}
    for name in sessions:
        path = results / "sessions" / name / "intake.json"
        told = {e.sha256 for e in read_intake(path).recordings} if path.exists() else {"1"}
        contents |= {Path(name, sha256): sha256 for sha256 in told}
        exports = tuple(Path(name, sha256) for sha256 in told)
        folders[name] = SessionFolder(name, name, Path("card") if name in cards else None, exports)
    left = tuple(LeftAlone(each, each) for each in left_alone)
    own = Bench(results / "settings.yaml", results / "devices.yaml", results, results)
    taken = Taken(Inbox(folders, left), contents, {}, tuple(no_more))
    return whole([*state(own, told_before(results), taken)])


def test_status_says_what_is_so_now_and_not_what_was(tmp_path):
    results = archive(tmp_path, "s-1", "s-2", "s-3")
    summary(results, looked_at=["s-1", "s-2", "s-3"])
    now = "\n".join(status(tmp_path, ["s-1", "s-2", "s-3"]))
    assert all(f"  {name}: Does not count." in now for name in ("s-1", "s-2", "s-3"))
    # A card was written, a session came, one left.
    now = status(tmp_path, ["s-1", "s-3", "s-4"], cards=["s-3"], no_more=["s-2"])
    assert now[1:3] == ["  s-3", "  s-4"] and now[3].startswith("In the last run that changed a")
    assert [line.split()[:3] for line in now if "s-2" in line] == [["strapline", "forget", "s-2"]]


def test_what_waits_for_its_files_is_said(tmp_path):
    results = archive(tmp_path, "s-1")
    assert "Waiting" not in summary(results)
    copied = "b: x.csv is still being copied; type `snakemake` again when it is there."
    for _ in range(2):
        assert f"  {copied}" in summary(results, waiting=["2026-03-02 run ada", copied])
    again = summary(results, waiting=["2026-03-02 run ada"])
    assert "run ada" not in again and "As told before" not in again


def test_what_is_no_more_in_the_inbox_is_said_with_how_to_forget_it(tmp_path):
    results = archive(tmp_path, "s-1")
    assert "No longer" not in summary(results)
    said = summary(results, no_more=["s-0"])
    assert f" strapline forget s-0 --results {results} " in " ".join([*said.split(), ""])
    assert "s-0" not in summary(results, no_more=["s-0"])


def change(results, **facts):
    path = results / "sessions" / "s-1" / "intake.json"
    write_model(path, read_intake(path).model_copy(update=facts))


@pytest.mark.parametrize(
    ("facts", "how"),
    [
        ({"recordings": (recording("watch", sha256="1" * 64),)}, "with other exports"),
        ({"card_sha256": "2" * 64}, "with another card"),
        ({"set_aside": "No watch."}, "judged otherwise"),
        ({"notes": "Windy."}, None),
    ],
)
def test_what_changed_of_a_session_is_said(tmp_path, facts, how):
    results = archive(tmp_path, "s-1", "s-2")
    summary(results, looked_at=["s-1", "s-2"])
    change(tmp_path, **facts)
    said = summary(results, looked_at=["s-1", "s-2"])
    what = f"1 {how}.\n  s-1 ({how}): Does not count." if how else "none new."
    assert f"\n2 sessions, {what}" in said and "s-2" not in said


def test_a_card_that_has_another_file_used_is_told_as_that(tmp_path):
    results = archive(tmp_path, "s-1")
    first, second = (recording(name, sha256=name[-1] * 64) for name in ("band-1", "band-2"))
    aside = {"set_aside": "It is not named in session.yaml."}
    change(tmp_path, recordings=(first, second.model_copy(update=aside)))
    summary(results, looked_at=["s-1"])
    change(tmp_path, recordings=(first.model_copy(update=aside), second), card_sha256="2" * 64)
    assert "1 session, 1 with another card." in summary(results, looked_at=["s-1"])


def test_a_verdict_that_stays_is_not_read_twice(tmp_path):
    """Nor does it change with what a device is called, which is told once."""
    results = archive(tmp_path, "s-1")
    change(tmp_path, set_aside=None, recordings=(strap(), recording()))
    none = Tally(total=0, used=0, left_out={})
    whole = Tally(total=1800, used=1800, left_out={})
    compared = ComparisonLedger(recording="watch", alignment="settled", seconds=whole)
    own = RecordingLedger(
        recording="watch", samples=whole, beats=none, usual_s=1, largest_usual_s=1
    )
    ledger = SessionLedger(session="s-1", recordings=(own,), comparisons=(compared,))
    write_model(tmp_path / "sessions" / "s-1" / "ledger.json", ledger)
    low = {"session": "s-1", "device": "watch", "recording": "watch"}
    title = low | {"form": "title", "place": 0, "text": "Watch 73 bpm low for 4 min"}
    SENTENCES.write(SENTENCES.from_rows([title]), tmp_path / "sessions/s-1/sentences.parquet")
    EPISODES.write(EPISODES.from_rows([low | FAULT]), tmp_path / "sessions/s-1/episodes.parquet")
    told = "  s-1: watch was compared with the strap.\n    Watch 73 bpm low for 4 min.\n"
    assert told in summary(results, looked_at=["s-1"])
    change(tmp_path, card_sha256="2")
    still = "  s-1 (with another card): still counts; its figures were computed again.\n"
    assert still in summary(results, looked_at=["s-1"])
    change(tmp_path, recordings=(strap(), recording(label="Dawn watch")))
    said = summary(results, looked_at=["s-1"])
    assert said.startswith("\n1 session, none new.\n")
    assert "\nwatch is called Dawn watch from now on, in 1 session.\n" in said
    aside = recording("x", sha256="1", set_aside="Empty.")
    change(tmp_path, recordings=(strap(), recording(label="Dawn watch"), aside))
    assert summary(results, looked_at=["s-1"]).startswith("\n1 session, none new.\n")
    change(tmp_path, card_sha256="3")
    assert "from now on" not in summary(results, looked_at=["s-1"])


def test_a_copy_of_the_strap_is_told_once(tmp_path):
    """As advice, and not as set aside too."""
    results = archive(tmp_path, "s-1")
    change(tmp_path, set_aside=None, recordings=(strap(), recording()))
    why = "It reads the same as the reference."
    copy = ClockDecision(recording="watch", decision="copy", offset_s=0, reason=why)
    clocks = SessionAlignment(session="s-1", reference="strap", clocks=(copy,))
    write_model(tmp_path / "sessions" / "s-1" / "alignment.json", clocks)
    row = {"session": "s-1", "recording": "watch", "kind": "set_aside", "text": why}
    NOTICES.write(NOTICES.from_rows([row]), tmp_path / "archive" / "notices.parquet")
    said = summary(results, looked_at=["s-1"])
    assert said.count("reads the same") == 1 and "Set aside" not in said
    assert "Set aside" not in "".join(status(tmp_path, ["s-1"]))


def test_advice_for_the_whole_bench_is_given_once(tmp_path):
    """Firmware and length are the same matter in every session."""
    results = archive(tmp_path, "s-1", "s-2", "s-3")
    for name in ("s-1", "s-2", "s-3"):
        worn = session(strap(), recording(placement="left_wrist"), name=name, wearer="not stated")
        write_model(tmp_path / "sessions" / name / "intake.json", worn)
    said = summary(results, looked_at=["s-1", "s-2"])
    assert said.count("the firmware of watch") == 1 and said.count("the wearer") == 2
    now = "\n".join(status(tmp_path, ["s-1", "s-2"]))
    assert now.count("the firmware of watch") == 1 and now.count("the wearer") == 2
    assert "firmware" not in summary(results, looked_at=["s-3"])
    assert any("firmware" in line for line in status(tmp_path, ["s-3"]))


@pytest.mark.parametrize(
    ("clock", "zone", "is_told"),
    [("local", "UTC", True), ("local", "Europe/Lisbon", False), ("utc", "UTC", False)],
)
def test_a_time_zone_that_nobody_set_is_told_where_it_is_used(tmp_path, clock, zone, is_told):
    results = archive(tmp_path, "s-1", "s-2")
    local = recording(clock=clock, clock_note=ClockNote(time_zone=zone))
    for name in ("s-1", "s-2"):
        write_model(
            tmp_path / "sessions" / name / "intake.json", session(strap(), local, name=name)
        )
    said = " ".join(summary(results, looked_at=["s-1"], zone=zone).split())
    assert ("watch has times without a zone, read as UTC" in said) == is_told
    assert "without a zone" not in summary(results, looked_at=["s-2"], zone=zone)


def test_devices_are_named_before_a_card_is_written(tmp_path):
    """A card written before has the names of files for names of devices."""
    results = archive(tmp_path, "s-1")
    unknown = recording("unknown-device", device="unknown.s-1.0", label="Unknown device")
    change(tmp_path, recordings=(strap(), unknown), wearer="not stated", set_aside=None)
    said = summary(results, looked_at=["s-1"])
    assert "strapline devices --write" in said and "strapline card" not in said
    change(tmp_path, recordings=(strap(), recording()), set_aside="No watch.")
    assert "strapline card s-1" in summary(results, looked_at=["s-1"])


def test_a_device_that_only_cards_name_is_told_once(tmp_path):
    """Of a session that does not count it may be misspelt."""
    results = archive(tmp_path, "s-1", "s-2", "s-3")
    for name, reason in (("s-1", "Misspelt."), ("s-2", None), ("s-3", None)):
        worn = session(recording("watch"), name=name, set_aside=reason)
        write_model(tmp_path / "sessions" / name / "intake.json", worn)
    told = "watch is not in config/devices.yaml. To write it there:"
    assert told not in " ".join(summary(results, looked_at=["s-1"], devices=["band"]).split())
    assert told in " ".join(summary(results, looked_at=["s-2"], devices=["band"]).split())
    assert told not in " ".join(summary(results, looked_at=["s-3"], devices=["band"]).split())


def test_a_session_is_given_no_advice_twice(tmp_path):
    results = archive(tmp_path, "s-1")
    change(tmp_path, wearer="not stated", card_sha256="1", set_aside=None)
    assert "the wearer" in summary(results, looked_at=["s-1"])
    change(tmp_path, card_sha256="2")
    said = summary(results, looked_at=["s-1"])
    assert "s-1 (with another card)" in said and "the wearer" not in said


def test_figures_that_moved_are_counted_with_the_largest_and_told_once(tmp_path):
    results = archive(tmp_path, "s-1")
    DEVICES.write(DEVICES.empty(), tmp_path / "archive" / "devices.parquet")
    rows = [
        {**dict.fromkeys(KEY_NAMES, ""), "session": "s-1", "device": "watch", "figure": figure,
         "place": "metrics", "activity": "run", "alignment": "settled", "change": "moved",
         "before": 3.0, "after": after, "unit": "bpm", "why": "Code."}
        for figure, after in (("mae", 4.0), ("bias", 9.0), ("limit_lower", 99.0))
    ]  # fmt: skip
    edition(tmp_path, 1, [])
    summary(results, looked_at=["s-1"])
    edition(tmp_path, 2, rows)
    said = summary(results)
    assert "3 figures changed since the last edition (new session, changed setting):" in said
    assert "3.0 bpm, now 9.0 bpm" in said and "now 4.0" not in said
    # Who reads limits looks into the page.
    assert "99.0" not in said
    assert "changed since" not in summary(results)
    edition(tmp_path, 3, [rows[0] | {"figure": "within_beats", "change": "redefined"}])
    assert "1 figure goes by another tolerance than in the last edition:" in summary(results)


def test_a_correction_is_told_with_the_text_to_publish_once_it_has_figures(tmp_path):
    results = archive(tmp_path, "s-1")
    DEVICES.write(DEVICES.empty(), tmp_path / "archive" / "devices.parquet")
    own = dict.fromkeys(KEY_NAMES, "") | {"session": "s-1", "unit": "", "why": "changed card: s-1"}
    reason = {"place": "corrections", "change": "new", "wording_after": "The strap had slipped."}
    moved = {"figure": "mae", "activity": "run", "change": "moved", "before": 3.0, "after": 4.0}
    (tmp_path / "report" / "corrections.md").write_text("# Corrections\n\n## s-1\n")
    edition(tmp_path, 1, [])
    summary(results, looked_at=["s-1"])
    edition(tmp_path, 2, [own | reason])
    said = summary(results)
    assert "s-1: no figure has changed with its correction so far." in said
    assert "corrections.md" not in said
    edition(tmp_path, 3, [own | moved])
    assert f"{results}/report/corrections.md" in summary(results)
    assert "correct" not in summary(results).replace(results, "")


def edition(results, number, rows):
    moved = {"moved": len(rows), "reworded": 0, "new": 0, "gone": 0}
    why = "new session: a, b; changed setting: tolerance beats 4 (was 5)"
    made = {"number": number, "moved": moved, "why": why, "same_as": None}
    made |= {"folder": str(number)}
    past = [made | {"number": each, "folder": str(each)} for each in range(1, number)]
    table = CHANGES.from_rows(rows) if rows else CHANGES.empty()
    (results / "editions" / str(number)).mkdir(parents=True)
    CHANGES.write(table, results / "editions" / str(number) / "changes.parquet")
    CHANGES.write(table, results / "archive" / "changes.parquet", editions=[*past, made])


def test_forty_new_sessions_are_counted_and_the_worst_are_named(tmp_path):
    names = [f"s-{number:02}" for number in range(40)]
    results = archive(tmp_path, *names)
    far = story.aligned(wrist=story.STRAP + 30)
    _, courses = session_episodes(far, {}, session(strap()), Episodes(), Tolerance())
    COURSES.write(courses, tmp_path / "sessions/s-37/courses.parquet")
    left = [f"file-{number} {'lies directly in the inbox ' * 6}." for number in range(9)]
    lines = summary(results, looked_at=names, left_alone=left, no_more=["t-1", "t-2"]).splitlines()
    assert len(lines) <= MOST_LINES + 1
    # A command is whole, however long the folder's name.
    assert max(len(line) for line in lines if results not in line) <= WIDEST
    assert lines[1] == "40 sessions, 40 new; those furthest from the strap first."
    assert lines[2].startswith("  s-37: ")
    assert any("more; in full: strapline status" in line for line in lines)
    assert any("strapline forget t-1" in line for line in lines)
    assert {name for name in names for line in status(tmp_path, names) if name in line} == {*names}


def test_no_new_session_gives_way_to_one_that_changed(tmp_path):
    """New ones come first, and as many as a week has are all told."""
    old, new = ([f"{word}-{n:02}" for n in range(count)] for word, count in (("a", 30), ("n", 7)))
    results = archive(tmp_path, *old, *new)
    summary(results, looked_at=old)
    for name in old:
        path = tmp_path / "sessions" / name / "intake.json"
        write_model(path, read_intake(path).model_copy(update={"card_sha256": "2"}))
    left = [f"file-{number} {'lies directly in the inbox ' * 40}." for number in range(9)]
    lines = summary(results, looked_at=[*old, *new], left_alone=left).splitlines()
    assert lines[1].startswith("37 sessions, 7 new, 30 with another card; the new ones first")
    assert [line.split(":")[0].strip() for line in lines[2:9]] == new


def test_a_failure_says_what_is_wrong_with_the_machine(tmp_path):
    said = failure(["run.log"], {"The disk is full. Free some space."}, "snakemake")
    assert "A step failed. The disk is full. Free some space.\n" in said
    assert said.endswith("is in run.log")


def test_what_was_not_as_made_is_told_with_where_it_is_now():
    names = [f"results/sessions/s{number:02}/aligned.parquet" for number in range(10)]
    moved = {name: name.replace("results", "results/set-aside/1") for name in names}
    said = not_as_made({"results/report/plan.html"}, {"results/report/data.html"}, moved, [])
    assert said.splitlines() == [
        "Changed since Strapline wrote it, and moved aside under results/set-aside (10):",
        *(f"  {name} is now {moved[name]}" for name in names[:8]),
        "  … and 2 more",
        "Missing, and written again (1):",
        "  results/report/plan.html",
        "Missing or changed, and still to be written again (1):",
        "  results/report/data.html",
    ]


def test_nothing_is_said_where_all_is_as_made():
    assert not_as_made([], [], {}, []) == ""


def test_a_run_that_was_told_to_end_has_not_failed():
    said = failure(["run.log"], set(), "snakemake", told_to_end=True)
    assert "was stopped" in said and "failed" not in said
    full = "The disk is full."
    assert full in failure(["run.log"], {full}, "snakemake", told_to_end=True)


def test_what_was_told_of_a_session_is_forgotten_with_it(tmp_path):
    results = archive(tmp_path, "s-1", "s-12")
    summary(results, looked_at=["s-1", "s-12"], no_more=["s-1", "s-12"])
    forget(tmp_path, "s-1")
    text = (tmp_path / "told.json").read_text()
    assert "s-12" in text and not re.search(r"s-1\b", text)


def test_a_command_is_copied_whole_however_long_the_line():
    """Wrapped, its second half would be typed as a command of its own."""
    name = "a-long-" * 9
    for command in (f"`strapline card {name}x`", f"To name them: strapline devices {name} --write"):
        for line in (f"{'word ' * 12}{command}", command):
            asked = command.partition(": ")[2] or command
            assert sum(asked in row for row in wrapped(line, 2)) == 1
    assert max(map(len, wrapped("word " * 60, 4))) <= WIDEST
