"""An archive in parts is the archive; a new session changes one part."""

import numpy as np
import pandas as pd
import pytest

from strapline.ground.files import written_whole
from strapline.ground.tables import table
from strapline.ground.tables.parts import SESSIONS_A_PART, parts
from strapline.ground.tables.sessions import COURSES
from strapline.method.episodes.not_compared import PARTS


def names(count):
    return [f"session-{number:05}" for number in range(count)]


def courses(*rows):
    seconds = dict.fromkeys(("length_s", "episodes_s", "on_track_s", "not_compared_s", *PARTS), 1)
    rest = seconds | {"wearer": "ada", "activity": "run", "device": "band"}
    rest |= {"began_s": 0, "peaks": 0, "peaks_reached": 0}
    return COURSES.from_rows(
        [rest | {"session": session, "recording": recording} for session, recording in rows]
    )


@pytest.mark.parametrize("count", [0, 1, SESSIONS_A_PART, 1000, 5000])
def test_every_session_is_in_one_part_in_order_of_name(count):
    found = [name for part in parts(reversed(names(count))).values() for name in part]
    assert found == names(count)


def test_parts_are_neither_many_nor_large():
    """Lengths between sessions chosen by chance, one in 64: geometric, so that one in a thousand
    is above 64 ln 1000."""
    sizes = [len(part) for part in parts(names(100_000)).values()]
    assert np.mean(sizes) == pytest.approx(SESSIONS_A_PART, rel=0.1)
    assert np.mean([size > SESSIONS_A_PART * np.log(1000) for size in sizes]) < 0.004


@pytest.mark.parametrize("number", range(0, 1000, 37))
def test_a_new_session_changes_one_part_or_divides_it(number):
    every = parts(names(1000))
    others = parts(name for name in names(1000) if name != f"session-{number:05}")
    gone = {name for name in others if others[name] != every.get(name)}
    new = {name for name in every if every[name] != others.get(name)}
    assert len(gone) <= 1
    assert len(new) <= 2


def test_a_session_that_begins_a_part_divides_one():
    (first, *_), (second, *_) = list(parts(names(1000)).values())[1:3]
    without = parts(name for name in names(1000) if name != second)
    assert without.keys() == parts(names(1000)).keys() - {f"from-{second}"}
    assert second < without[f"from-{first}"][-1]


@pytest.mark.parametrize("portion", [1, 100])
def test_parts_become_one_table_in_their_order(tmp_path, monkeypatch, portion):
    """Against pandas' own concatenation, of tables that differ in their words; some are empty."""
    monkeypatch.setattr(table, "ROWS_A_GROUP", portion)
    frames = [courses(*((f"s{i % 7}", f"r{i}-{n}") for n in range(i % 3))) for i in range(30)]
    paths = [str(tmp_path / str(number)) for number in range(len(frames))]
    for frame, path in zip(frames, paths, strict=True):
        COURSES.write(frame, path)
    COURSES.gather(paths, tmp_path / "whole")
    words = dict.fromkeys(["session", "recording", "wearer", "activity", "device"], object)
    expected = pd.concat([frame.astype(words) for frame in frames], ignore_index=True)
    pd.testing.assert_frame_equal(
        COURSES.read(tmp_path / "whole").astype(words), expected, check_dtype=False
    )


def test_no_parts_are_an_empty_table(tmp_path):
    COURSES.gather([], tmp_path / "whole")
    assert COURSES.read(tmp_path / "whole").empty


def test_tables_in_parts_are_read_as_one(tmp_path):
    """The same as of one file; also some columns and some rows, and of no part."""
    frames = [courses(("s1", "r1"), ("s1", "r2")), courses(), courses(("s2", "r1"))]
    paths = [tmp_path / f"{number}.parquet" for number in range(len(frames))]
    for frame, path in zip(frames, paths, strict=True):
        COURSES.write(frame, path)
    COURSES.gather(list(map(str, paths)), tmp_path / "whole")
    for wanted in ({}, {"recording": ["r1"]}):
        whole = COURSES.read(tmp_path / "whole", **wanted)
        pd.testing.assert_frame_equal(COURSES.read(paths, **wanted), whole)
    assert list(COURSES.read(paths, "session")["session"]) == ["s1", "s1", "s2"]
    assert COURSES.read([]).empty
    assert list(COURSES.read([], "session").columns) == ["session"]


def test_a_folder_of_parts_can_be_read_while_one_is_written(tmp_path):
    """Also by pandas, which takes a folder as one table."""
    COURSES.write(courses(("s1", "r1"), ("s1", "r2")), tmp_path / "first.parquet")
    with written_whole(tmp_path / "from-s2.parquet") as unfinished:
        unfinished.write_text("half")
        assert len(pd.read_parquet(tmp_path)) == 2
        unfinished.write_bytes((tmp_path / "first.parquet").read_bytes())
    assert len(pd.read_parquet(tmp_path)) == 4
