"""An archive in parts is the archive; a new session changes one part."""

import pandas as pd
import pytest

from strapline.tables import table
from strapline.tables.parts import MOST_A_PART, parts
from strapline.tables.sessions import COURSES


def names(count):
    return [f"session-{number:05}" for number in range(count)]


def courses(*rows):
    seconds = dict.fromkeys(("length_s", "episodes_s", "on_track_s", "not_compared_s"), 1)
    rest = seconds | {"wearer": "ada", "activity": "run", "device": "band"}
    rest |= {"peaks": 0, "peaks_reached": 0}
    return COURSES.from_rows(
        [rest | {"session": session, "recording": recording} for session, recording in rows]
    )


@pytest.mark.parametrize("count", [0, 1, MOST_A_PART, MOST_A_PART + 1, 1000])
def test_every_session_is_in_one_part(count):
    found = [name for part in parts(names(count)).values() for name in part]
    assert sorted(found) == names(count)
    assert len(parts(names(count))) <= max(1, 2 * count / MOST_A_PART)


def test_a_new_session_changes_one_part():
    before, after = parts(names(1000)), parts([*names(1000), "new"])
    assert before.keys() == after.keys()
    assert sum(before[name] != after[name] for name in before) == 1


@pytest.mark.parametrize("portion", [1, 100])
def test_parts_become_one_table_in_order_of_sessions(tmp_path, monkeypatch, portion):
    """Against pandas' own concatenation, of tables that differ in their words; some are empty."""
    monkeypatch.setattr(table, "ROWS_AT_ONCE", portion)
    frames = [
        courses(*((f"s{-i % 7}", f"r{i}-{n}") for n in range(i % 3))) for i in reversed(range(30))
    ]
    paths = [str(tmp_path / str(number)) for number in range(len(frames))]
    for frame, path in zip(frames, paths, strict=True):
        COURSES.write(frame, path)
    COURSES.gather(paths, tmp_path / "whole")
    words = dict.fromkeys(["session", "recording", "wearer", "activity", "device"], object)
    expected = pd.concat([frame.astype(words) for frame in frames])
    expected = expected.sort_values("session", kind="stable", ignore_index=True)
    pd.testing.assert_frame_equal(
        COURSES.read(tmp_path / "whole").astype(words), expected, check_dtype=False
    )


def test_no_parts_are_an_empty_table(tmp_path):
    COURSES.gather([], tmp_path / "whole")
    assert COURSES.read(tmp_path / "whole").empty
