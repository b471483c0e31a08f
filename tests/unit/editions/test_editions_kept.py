"""Editions on disk: kept once, never changed, and missed by nobody when they are gone."""

import errno
import hashlib
import json
import shutil

import numpy as np
import pandas as pd
import pytest
from states import rows, state

from strapline.ground.tables.editions import PUBLISHED
from strapline.keeping.editions import history as editions_history
from strapline.keeping.editions import published
from strapline.keeping.editions.causes import UNKNOWN
from strapline.keeping.editions.history import changes_of, keep, kept
from strapline.keeping.editions.in_force import Sources
from strapline.keeping.editions.published import mark_of, write_published


@pytest.fixture
def history(tmp_path):
    publish(tmp_path / "editions", {"one": rows(a=1.0)}, state())
    return tmp_path / "editions"


def publish(history, parts, now):
    """`parts`: frames under PUBLISHED, by the name of the part that they are in."""
    gathered = history.parent / "parts"
    gathered.mkdir(exist_ok=True)
    files = {name: gathered / f"{name}.parquet" for name in parts}
    for name, frame in parts.items():
        write_published(frame, files[name])
    return keep(history, rows(_=0.0), files, now)


def content(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_first_edition_has_nothing_to_compare_with(history):
    (edition,) = kept(history)
    assert (edition.number, edition.same_as) == (1, None)
    assert changes_of(history, kept(history)[-1]).empty


def test_the_same_figures_are_kept_once(history):
    before = content(history)
    publish(history, {"one": rows(a=1.0)}, state())
    assert content(history) == before


def test_code_that_moved_nothing_is_not_blamed_for_what_moves_later(history):
    publish(history, {"one": rows(a=1.0)}, state(code={"measure": "tidier"}))
    publish(history, {"one": rows(a=2.0)}, state(code={"measure": "tidier", "align": "new"}))
    assert set(changes_of(history, kept(history)[-1])["why"]) == {"changed code: align"}


def test_figures_do_not_count_as_new_where_marks_are_reckoned_otherwise(history, monkeypatch):
    before = content(history)
    monkeypatch.setattr(published, "mark_of", lambda table: "other")
    publish(history, {"one": rows(a=1.0)}, state())
    assert content(history) == before


def test_a_part_that_stayed_is_not_read_and_takes_no_room(history, monkeypatch):
    publish(history, {"one": rows(a=1.0), "two": rows(b=1.0)}, state())
    read = []
    told = editions_history.PUBLISHED.__class__.read
    monkeypatch.setattr(
        editions_history.PUBLISHED.__class__,
        "read",
        lambda table, path, *given: read.append(path.name) or told(table, path, *given),
    )
    *_, before, last = publish(history, {"one": rows(a=1.0), "two": rows(b=2.0)}, state())
    assert "two.parquet" in read
    assert "one.parquet" not in read
    one, two = (f"parts/{name}.parquet" for name in ("one", "two"))
    assert (history / last.folder / one).samefile(history / before.folder / one)
    assert not (history / last.folder / two).samefile(history / before.folder / two)
    assert list(changes_of(history, last)["session"]) == ["b"]


def test_an_edition_does_not_change_with_the_part_it_was_made_of(history):
    before = content(history)
    part = history.parent / "parts" / "one.parquet"
    part.write_bytes(b"other")
    assert content(history) == before


def test_a_session_that_comes_into_another_part_has_not_moved(history):
    publish(history, {"one": rows(a=1.0, b=2.0)}, state())
    *_, last = publish(history, {"one": rows(a=1.0), "two": rows(b=2.0)}, state())
    assert last.number == 2
    *_, last = publish(history, {"one": rows(a=1.0), "two": rows(b=3.0)}, state())
    assert list(changes_of(history, last)["session"]) == ["b"]


def test_an_edition_in_one_file_without_marks_is_compared_with(tmp_path):
    history = tmp_path / "editions"
    (first,) = publish(history, {"one": rows(a=1.0)}, state())
    folder = history / first.folder
    shutil.rmtree(folder / "parts")
    PUBLISHED.write(rows(_=0.0, a=1.0), folder / "published.parquet")
    assert len(publish(history, {"one": rows(a=1.0)}, state())) == 1
    *_, last = publish(history, {"one": rows(a=2.0)}, state())
    moved = changes_of(history, last)
    assert list(zip(moved["session"], moved["change"], strict=True)) == [("a", "moved")]


@pytest.mark.parametrize(
    "change",
    [
        {"device": "band"},
        {"against": "band"},
        {"unit": "%"},
        {"value": 1.5},
        {"low": 0.5},
        {"high": None},
        {"wording": "It is."},
    ],
)
def test_whatever_moves_gives_another_fingerprint(change):
    row = rows(a=1.0).iloc[0].to_dict() | {"high": 2.0}
    assert mark_of(PUBLISHED.from_rows([row])) != mark_of(PUBLISHED.from_rows([row | change]))


def test_a_fingerprint_goes_by_what_is_said_not_by_how_it_is_held(tmp_path):
    table = rows(a=1.0, b=2.0, _=-0.5)
    held = table.assign(session=table["session"].cat.set_categories(["b", "", "x", "a"]))
    held["low"] = -held["low"]
    assert mark_of(held) == mark_of(table)
    PUBLISHED.write(table, tmp_path / "t")
    assert mark_of(PUBLISHED.read(tmp_path / "t")) == mark_of(table)


def test_a_view_that_was_renamed_moved_no_figure(tmp_path):
    history = tmp_path / "editions"
    earlier = pd.concat([rows(a=1.0), rows(a=3.0), rows(a=1.5)], ignore_index=True)
    now = pd.concat([rows(a=1.0), rows(a=1.5)], ignore_index=True)
    earlier["alignment"] = pd.Categorical(["aligned", "as_recorded", "delay_out"])
    now["alignment"] = pd.Categorical(["settled", "delay_out"])
    publish(history, {"one": earlier}, state())
    publish(history, {"one": now}, state())
    assert len(kept(history)) == 1
    now["value"] = [2.0, 1.5]
    publish(history, {"one": now}, state())
    moved = changes_of(history, kept(history)[-1])
    assert moved[["alignment", "before", "after"]].to_numpy(object).tolist() == [
        ["settled", 1.0, 2.0]
    ]


def test_a_share_by_another_tolerance_is_kept_as_another_figure(tmp_path):
    history = tmp_path / "editions"
    for beats, value in ((5.0, 95.1), (3.0, 53.7)):
        share = rows(a=value).assign(figure=pd.Categorical(["within_beats"]))
        publish(
            history, {"one": share}, state(settings={"measure": {"tolerance": {"beats": beats}}})
        )
    assert list(changes_of(history, kept(history)[-1])["change"]) == ["redefined"]


def test_figures_that_come_back_are_an_edition_that_says_so(history):
    publish(history, {"one": rows(a=2.0)}, state())
    publish(history, {"one": rows(a=1.0)}, state())
    assert [edition.same_as for edition in kept(history)] == [None, None, 1]
    first, _, last = sorted(path for path in history.glob("0*"))
    assert first.name.split("-")[1] == last.name.split("-")[1]


def test_an_edition_keeps_its_number_when_an_older_one_is_deleted(history):
    publish(history, {"one": rows(a=2.0)}, state())
    shutil.rmtree(history / kept(history)[0].folder)
    publish(history, {"one": rows(a=3.0)}, state())
    assert [edition.number for edition in kept(history)] == [2, 3]


@pytest.mark.parametrize(
    "name", ["edition.json", "published.parquet", "parts/one.parquet", "changes.parquet"]
)
def test_a_broken_edition_is_passed_over(history, name):
    (history / kept(history)[0].folder / name).write_bytes(b"broken")
    (edition,) = publish(history, {"one": rows(a=2.0)}, state())
    assert edition.number == 2
    assert changes_of(history, edition).empty


def test_an_edition_that_lost_a_part_is_passed_over(history):
    publish(history, {"one": rows(a=1.0), "two": rows(b=1.0)}, state())
    (history / kept(history)[-1].folder / "parts" / "two.parquet").unlink()
    first, last = publish(history, {"one": rows(a=1.0), "two": rows(b=1.0)}, state())
    assert (first.number, last.number) == (1, 3)
    assert set(changes_of(history, last)["session"]) == {"b"}


def test_a_part_damaged_in_the_middle_is_shared_with_no_edition_after_it(history):
    publish(history, {"one": rows(a=1.0), "two": rows(b=1.0)}, state())
    part = history / kept(history)[-1].folder / "parts" / "one.parquet"
    part.write_bytes(part.read_bytes()[:4] + b"damaged" + part.read_bytes()[11:])
    publish(history, {"one": rows(a=1.0), "two": rows(b=2.0)}, state())
    *_, last = publish(history, {"one": rows(a=3.0), "two": rows(b=2.0)}, state())
    assert list(changes_of(history, last)["session"]) == ["a"]


def test_what_was_in_force_is_that_of_the_edition_compared_with(history):
    before = (history / "in_force.json").read_bytes()
    new = {"a": Sources(exports={}), "b": Sources(exports={})}
    publish(history, {"one": rows(a=1.0, b=1.0)}, state(sessions=new))
    # Killed before that was noted.
    (history / "in_force.json").write_bytes(before)
    code = state(sessions=new, code={"measure": "new"})
    *_, last = publish(history, {"one": rows(a=1.0, b=2.0)}, code)
    assert set(changes_of(history, last)["why"]) == {"changed code: measure"}


@pytest.mark.parametrize("broken", [b"{", b'{"in_force": {"other": 1}}'])
def test_where_nothing_says_what_was_in_force_there_is_no_cause(history, broken):
    record = history / kept(history)[0].folder / "edition.json"
    record.write_text(json.dumps(json.loads(record.read_text()) | {"in_force": {"other": 1}}))
    (history / "in_force.json").write_bytes(broken)
    *_, last = publish(history, {"one": rows(a=2.0)}, state(code={"measure": "new"}))
    assert set(changes_of(history, last)["why"]) == {UNKNOWN}


@pytest.mark.parametrize("name", ["2025-11-03 backup", "99999-0", "9-683fd964", f"{'9' * 200}-a"])
def test_a_folder_of_someone_else_has_no_number(history, name):
    (history / name).mkdir()
    *_, last = publish(history, {"one": rows(a=2.0)}, state())
    assert last.number == 2


def test_numbers_are_kept_to_nine_digits():
    figures = pd.DataFrame({"figure": [1 / 3, 2e9 / 3, -1e-12 / 3, -0.0, np.nan]})
    values = published.part("somewhere", figures, "bias", value="figure")["value"]
    assert list(values[:3]) == [0.333333333, 666666667.0, -3.33333333e-13]
    assert str(values[3]) == "0.0"
    assert np.isnan(values[4])


def test_of_an_edition_that_the_disk_has_no_room_for_nothing_is_left(history, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    before = content(history)
    monkeypatch.setattr("strapline.keeping.editions.history.write_model", full)
    with pytest.raises(OSError, match="No space"):
        publish(history, {"one": rows(a=2.0)}, state())
    assert content(history) == before
    assert [path.name for path in history.iterdir() if path.is_dir()] == [kept(history)[0].folder]


def test_an_edition_says_when_it_was_made_and_what_was_in_force(history):
    record = json.loads(next(history.glob("*/edition.json")).read_text("utf-8"))
    assert record["in_force"]["sessions"]["a"]["exports"] == {"strap.csv": "1", "watch.csv": "2"}
    assert record["in_force"]["stages"]["measure"]["settings"] == {"tolerance": {"beats": 5.0}}
    assert record["made_at"].endswith("Z")


def test_an_edition_says_what_its_files_were(history):
    (edition,) = kept(history)
    folder = history / edition.folder
    record = json.loads((folder / "edition.json").read_bytes())
    assert record["files"] == {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*.parquet")
    }
    assert len(record["files"]) == 3
