"""Editions over the life of a small archive: each change is kept, told, and told why."""

import json
import shutil

import pytest

from strapline.ground.tables.editions import CHANGES

CARD = """\
activity: {activity}
wearer: ada
recordings:
  - {{file: strap.csv, device: strap, role: reference}}
  - {{file: watch.csv, device: watch, placement: left_wrist}}
"""


def add_session(folder, day, shift=3, activity="run"):
    session = folder / "inbox" / f"day-{day}"
    session.mkdir(parents=True, exist_ok=True)
    for name, moved in (("strap", 0), ("watch", shift)):
        rows = [
            f"2026-03-{day:02}T10:{s // 60:02}:{s % 60:02}Z,{90 + abs(s % 80 - 40) + moved}"
            for s in range(240)
        ]
        (session / f"{name}.csv").write_text("\n".join(["time,heart_rate", *rows]) + "\n")
    (session / "session.yaml").write_text(CARD.format(activity=activity))
    return session


@pytest.fixture(scope="module")
def archive(tmp_path_factory, run_workflow):
    """A function that runs the workflow and gives the editions' folder names, and a folder."""
    folder = tmp_path_factory.mktemp("editions")

    def made(*arguments):
        wanted = ["results/archive/changes.parquet", "results/report/changes.html"]
        run_workflow(folder, *wanted, *arguments)
        names = sorted(path.name for path in (folder / "results" / "editions").glob("0*"))
        return names, CHANGES.read(folder / "results" / "archive" / "changes.parquet")

    return folder, made


def whys(changes, **wanted):
    rows = changes
    for column, value in wanted.items():
        rows = rows[rows[column] == value]
    return set(rows["why"])


def test_each_change_is_kept_and_told_why(archive):
    folder, made = archive
    page = folder / "results" / "report" / "changes.html"
    editions = folder / "results" / "editions"
    add_session(folder, 1)

    names, changes = made()
    assert len(names) == 1 and changes.empty
    assert "nothing to compare with" in page.read_text("utf-8")

    # Made anew, and nothing changed: no edition more, and the same bytes.
    tracked = [folder / "results" / "archive" / "changes.parquet", page]
    before = [path.read_bytes() for path in tracked]
    assert made("--forcerun", "edition")[0] == names
    assert [path.read_bytes() for path in tracked] == before

    second = add_session(folder, 2, shift=5)
    names, changes = made()
    assert len(names) == 2
    assert whys(changes) == {"new session: day-2"}
    assert set(changes["change"][changes["session"] == "day-2"]) == {"new"}
    assert "day-1" not in set(changes["session"])

    add_session(folder, 2, shift=6)
    add_session(folder, 1, activity="ride")
    names, changes = made()
    export, card = "changed export: watch of day-2", "changed card: day-1"
    assert whys(changes, session="day-2") == {export}
    assert whys(changes) == {export, f"{export}; {card}"}
    error = changes[
        (changes["session"] == "day-2")
        & (changes["figure"] == "mae")
        & (changes["alignment"] == "settled")
    ]
    # The watch was written to read 5, then 6 beats too high.
    assert error[["before", "after"]].to_numpy().tolist() == [[5.0, 6.0]]

    # Why the error of 5 became one of 6, said an edition later.
    card = second / "session.yaml"
    card.write_text(f"{card.read_text()}correction: The watch | was read anew.\n")
    names, changes = made()
    assert set(changes["place"]) == {"corrections"} and "changed card: day-2" in whys(changes)
    text = (folder / "results" / "report" / "corrections.md").read_text("utf-8")
    assert "## day-2\n\nThe watch \\| was read anew.\n" in text
    assert "corrections.md" in page.read_text("utf-8")

    (folder / "settings.yaml").write_text("tolerance: {beats: 2}\n")
    strict = ("--config", "settings=settings.yaml")
    names, changes = made(*strict)
    assert whys(changes) == {"changed setting: tolerance beats 2 (was 5)"}
    assert not {"bias", "mae"} & set(changes["figure"])

    # Back to what was set before: a new edition, which says so.
    names, changes = made()
    assert len(names) == 6
    record = json.loads((editions / names[-1] / "edition.json").read_text("utf-8"))
    assert record["same_as"] == 4
    assert "again what edition 4 said" in page.read_text("utf-8")

    shutil.rmtree(second)
    names, changes = made()
    assert whys(changes) == {"session gone: day-2"}
    assert set(changes["change"][changes["session"] == "day-2"]) == {"gone"}

    shutil.rmtree(editions)
    names, changes = made("--forcerun", "edition")
    assert len(names) == 1 and changes.empty
