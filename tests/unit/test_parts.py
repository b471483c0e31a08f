"""An archive in parts is the archive; a new session changes one part."""

import pytest

from strapline.tables.parts import MOST_A_PART, parts, read_parts
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


def test_parts_read_as_one_table_in_order_of_sessions(tmp_path):
    COURSES.write(courses(("b", "2"), ("b", "1"), ("c", "5")), tmp_path / "0")
    COURSES.write(courses(("a", "9"), ("a", "3")), tmp_path / "1")
    whole = read_parts(COURSES, [str(tmp_path / "0"), str(tmp_path / "1")])
    assert whole["session"].astype(str).tolist() == ["a", "a", "b", "b", "c"]
    assert whole["recording"].astype(str).tolist() == ["9", "3", "2", "1", "5"]


def test_no_parts_are_an_empty_table():
    assert len(read_parts(COURSES, [])) == 0
