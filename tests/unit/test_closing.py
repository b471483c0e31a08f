from intakes import recording, session
from strapline.ground.files import write_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.tables.archive import NOTICES, SESSIONS
from strapline.running.closing import failure, not_as_made, summary


def archive(results, *names):
    """An archive of sessions in which nothing could be compared."""
    (results / "archive").mkdir(parents=True)
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


def test_a_new_session_is_told_with_its_verdict(tmp_path):
    said = summary(archive(tmp_path, "s-1", "s-2"), ["s-2"])
    assert "2 sessions, 1 new.\n  s-2: Does not count. No strap.\n" in said
    assert "s-1" not in said


def test_what_was_set_aside_is_said_with_the_names_of_its_files(tmp_path):
    """Which the archive's tables do not have."""
    results = archive(tmp_path, "s-1")
    path = tmp_path / "sessions" / "s-1" / "intake.json"
    unread = recording("watch-2", file="mia.csv", set_aside="It holds no heart rate.")
    write_model(path, read_intake(path).model_copy(update={"recordings": (unread,)}))
    rows = [
        {"session": "", "kind": "set_aside", "text": "A file lies directly in the inbox."},
        {"session": "s-1", "recording": "watch-2", "kind": "set_aside", "text": "It is empty."},
        {"session": "s-1", "kind": "set_aside", "text": "No strap."},
    ]
    NOTICES.write(NOTICES.from_rows(rows), tmp_path / "archive" / "notices.parquet")
    said = summary(results, [], ["x.csv lies directly in the inbox."])
    assert said.splitlines()[2:6] == [
        "Set aside (3):",
        "  x.csv lies directly in the inbox.",
        "  s-1, mia.csv: It is empty.",
        "  s-1: No strap.",
    ]


def test_what_waits_for_its_files_is_said(tmp_path):
    results = archive(tmp_path, "s-1")
    assert "Waiting" not in summary(results, [])
    assert "Waiting:\n  2026-03-02 run ada" in summary(results, [], waiting=["2026-03-02 run ada"])
    assert "Waiting:\n  a\n  b" in summary(results, [], waiting=["a", "b"])


def test_what_is_no_more_in_the_inbox_is_said_with_how_to_forget_it(tmp_path):
    results = archive(tmp_path, "s-1")
    assert "No longer" not in summary(results, [])
    said = summary(results, [], no_more=["s-0"])
    assert f"  strapline forget s-0 --results {results}\n" in said


def test_a_failure_says_what_is_wrong_with_the_machine(tmp_path):
    said = failure(["run.log"], {"The disk is full. Free some space."})
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
    said = failure(["run.log"], set(), told_to_end=True)
    assert "was stopped" in said and "failed" not in said
    assert "The disk is full." in failure(["run.log"], {"The disk is full."}, told_to_end=True)
