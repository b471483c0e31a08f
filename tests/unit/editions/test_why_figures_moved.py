"""What moved between two editions, and which of the things that changed can account for it."""

import ast
import inspect

import pandas as pd
import pytest
from states import rows, state

from strapline.ground.tables.editions import PUBLISHED
from strapline.keeping.editions import of_archive, of_sessions
from strapline.keeping.editions.causes import ALL_STAGES, STAGES, UNKNOWN, causes, told
from strapline.keeping.editions.compare import changes, counts, redefined
from strapline.keeping.editions.in_force import Sources
from strapline.keeping.provenance import stages


def why(before, after, place="findings", session=""):
    return told([c for c in causes(before, after) if c.touches(place, session)])


OTHER = {"strap.csv": "1", "watch.csv": "9"}


@pytest.mark.parametrize(
    "sessions, expected",
    [
        ({"a": Sources(exports=OTHER)}, "changed export: watch.csv of a"),
        ({"a": Sources(exports={"strap.csv": "1"})}, "export gone: watch.csv of a"),
        (
            {"a": Sources(exports={"strap.csv": "1", "watch.csv": "2"}, card="7")},
            "new card: a",
        ),
        ({"b": Sources(exports=OTHER)}, "new session: b; session gone: a"),
    ],
)
def test_sources_of_a_session(sessions, expected):
    assert why(state(), state(sessions)) == expected
    assert why(state(), state(sessions), "metrics", "a") == expected.replace("new session: b; ", "")
    assert why(state(), state(sessions), "metrics", "untouched") == UNKNOWN


def test_a_setting_touches_what_its_stages_make():
    strict = state(settings={"measure": {"tolerance": {"beats": 4.0}}})
    told_why = "changed setting: tolerance beats 4 (was 5)"
    assert why(state(), strict) == told_why
    assert why(state(), strict, "metrics", "a") == told_why
    assert why(state(), strict, "sentences", "a") == UNKNOWN


def test_code_touches_what_its_stage_makes():
    found = state(), state(code={"episodes": "new"})
    assert why(*found, "sentences", "a") == "changed code: episodes"
    assert why(*found, "metrics", "a") == UNKNOWN
    assert why(*found) == UNKNOWN


def test_what_comes_from_stages_that_nobody_named_may_come_from_any():
    assert why(state(), state(code={"episodes": "new"}), "invented") == "changed code: episodes"


def test_every_place_of_what_is_published_names_stages_that_there_are():
    places = {"claims"}
    for module in (of_archive, of_sessions):
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "part":
                places.add(eval(ast.unparse(node.args[0]), vars(module)))
    assert places == set(STAGES)
    assert set(ALL_STAGES) <= set(stages())


def test_register_and_libraries_touch_everything():
    after = state(devices='{"x": 1}', versions={"scipy": "2"})
    expected = "changed device register; other version: scipy 2 (was 1)"
    assert why(state(), after, "metrics", "a") == expected


def test_several_causes_are_told_together_and_many_are_counted():
    many = {name: Sources(exports={}) for name in "abcdefg"}
    after = state(many, code={"measure": "new"})
    before = state({"a": Sources(exports={})})
    expected = "new session: b, c, d, e, and 2 more; changed code: measure"
    assert why(before, after) == expected


def test_only_what_differs_is_a_change():
    before = rows(_=1.0, a=2.0, b=3.0, c=4.0)
    after = rows(_=1.5, a=2.0, c=None, d=5.0)
    table = changes(before, after, causes(state(), state(code={"measure": "new"})))
    told_of = dict(zip(table["session"], table["change"], strict=True))
    assert told_of == {"": "moved", "b": "gone", "c": "moved", "d": "new"}
    assert set(table["why"]) == {"changed code: measure"}
    assert counts(table) == {"moved": 2, "redefined": 0, "reworded": 0, "new": 1, "gone": 1}
    (moved,) = table[table["session"] == ""].to_dict("records")
    assert (moved["before"], moved["after"], moved["unit"]) == (1.0, 1.5, "bpm")


def test_a_share_within_another_tolerance_is_another_figure():
    """Of 5 bpm before and 3 now; the error rests on no tolerance, and moves."""
    wide, narrow = ({"measure": {"tolerance": {"beats": beats}}} for beats in (5.0, 3.0))
    found = redefined(state(settings=wide), state(settings=narrow))
    assert found.keys() == {"within_beats", "within_either", "first_lock"}
    before = rows(a=95.1, b=95.1, c=2.0)
    before["figure"] = ["within_beats", "mean_within_either", "mae"]
    after = before.assign(value=[53.7, 60.0, 2.5])
    table = changes(before, after, [], found)
    told = table.set_index("figure")[["change", "wording_before", "wording_after"]]
    assert told.loc["within_beats"].tolist() == ["redefined", "Within 5 bpm", "Within 3 bpm"]
    assert told.loc["mean_within_either", "change"] == "redefined"
    assert told.loc["mae", "change"] == "moved" and pd.isna(told.loc["mae", "wording_after"])
    assert not redefined(state(), state(code={"measure": "new"}))


def test_an_interval_that_moves_moves_its_figure():
    before = rows(a=2.0)
    table = changes(before, before.assign(low=1.0), [])
    assert list(table["change"]) == ["moved"]


def test_a_sentence_that_changed_is_told_before_and_after():
    before = rows(a=None).assign(wording="It read low.")
    table = changes(before, before.assign(wording="It tends to read low."), [])
    (row,) = table.to_dict("records")
    assert row["change"] == "reworded"
    assert (row["wording_before"], row["wording_after"]) == (
        "It read low.",
        "It tends to read low.",
    )


def test_nothing_to_compare_gives_nothing():
    assert changes(PUBLISHED.empty(), PUBLISHED.empty(), []).empty
