"""A card may say any word: its figures are those of the same session under another."""

from functools import cache

import pandas as pd
import pytest
from pydantic import TypeAdapter, ValidationError

from strapline.ground.documents import Word
from strapline.ground.settings import Claims, Criteria, Equivalence, Grounds, OverAll, Tolerance
from strapline.ground.slugs import slug
from strapline.ground.tables.archive import COMPARISONS, FIRMWARE, PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import OURS
from strapline.ground.words import in_words
from strapline.method.agreement.findings import findings
from strapline.method.agreement.session_table import by_activity
from strapline.method.agreement.standings import standings
from strapline.method.claims.evidence import Evidence, Policy
from strapline.method.episodes.conditions import conditions, stated_conditions
from strapline.method.episodes.faults import fault_seconds, faults
from strapline.method.metrics.comparisons import comparisons
from strapline.method.metrics.firmware import firmware_changes
from unit.agreement.archives import archive as figures
from unit.episodes.fault_archives import archive as spans
from unit.episodes.fault_archives import low

# What stands, or once stood, for a total or a lack; and what is our own wording as a card has it.
QUICK = ("all", "any")
SUSPECTS = ("unstated", "whole", "none", "nan", "null", "index", "done", "placement")
SUSPECTS += tuple(word.replace(" ", dash) for word in sorted(OURS) for dash in "-_")
SUSPECTS = (*QUICK, *(pytest.param(word, marks=pytest.mark.slow) for word in SUSPECTS))
# Words that are nobody's but the card's.
USUAL = {"activity": "squash", "wearer": "ben"}
ANYTHING = Grounds(fewest_sessions=1, fewest_wearers=1, fewest_minutes=0)


def sessions(**words_of):
    """Two at one activity, one at another; of one wearer and of another."""
    row = {"bias": -1.0, "sd_of_differences": 2.0, "effective_n": 60.0, "mape": 3.0}
    row |= {"within_either": 90.0, "concordance": 0.9}
    return figures(
        *(row | {"mae": mae, "activity": at, "wearer": who} for mae, at, who in of(**words_of))
    )


def of(activity=USUAL["activity"], wearer=USUAL["wearer"]):
    return (3.0, activity, wearer), (20.0, activity, "ada"), (22.0, "run", wearer)


def same(table, usual, **words_of):
    """Whether the tables are equal but for the words."""
    keys = [name for name in ("device", "activity", "kind", "statistic", "metric") if name in table]
    (column, word), *_ = words_of.items()
    usual = usual.astype(dict.fromkeys(keys, str))
    if column in usual:
        usual[column] = usual[column].replace({USUAL[column]: word})
    table = table.astype(dict.fromkeys(keys, str))
    ordered = [each.sort_values(keys).reset_index(drop=True) for each in (table, usual)]
    pd.testing.assert_frame_equal(*ordered, check_dtype=False, check_categorical=False)


def test_no_word_of_ours_can_stand_on_a_card():
    assert len(OURS) == 4
    for word in OURS:
        with pytest.raises(ValidationError):
            TypeAdapter(Word).validate_python(word)
        assert slug(word) != word


def of_figures(**words_of):
    metrics = sessions(**words_of)
    return standings(metrics, OverAll()), findings(metrics, Criteria(), Equivalence(), OverAll())


def of_pairs(**words_of):
    pairs = [
        {"session": f"s-{place}", "device": device, "activity": at, "wearer": who}
        | {"mae": mae + more, "mape": mae, "bias": mae, "scope": scope}
        for place, (mae, at, who) in enumerate(of(**words_of))
        for device, more, other in (("band", 1.0, "watch"), ("watch", 0.0, "band"))
        for scope in ("whole", f"beside:{other}")
    ]
    worn = pd.DataFrame(
        {
            "session": row["session"],
            "device": row["device"],
            "placement": "other",
            "firmware": str(place // 4),
            "started_at": pd.Timestamp("2026-03-01", tz="UTC") + pd.Timedelta(days=place),
        }
        for place, row in enumerate(pairs)
    ).drop_duplicates(["session", "device"])
    held = figures(*pairs)
    return comparisons(held, worn, Criteria(), OverAll()), firmware_changes(held, worn, OverAll())


def of_faults(**words_of):
    told = [low(seconds, activity=at, wearer=who) for seconds, at, who in of(**words_of)]
    return (faults(*spans(*told), 60, OverAll()),)


@cache
def usual(tables, column):
    return tables(**{column: USUAL[column]})


@pytest.mark.parametrize("word", SUSPECTS)
@pytest.mark.parametrize("column", USUAL)
@pytest.mark.parametrize("tables", [of_figures, of_pairs, of_faults])
def test_a_card_may_have_any_word(tables, column, word):
    for table, expected in zip(tables(**{column: word}), usual(tables, column), strict=True):
        assert len(expected)
        same(table, expected, **{column: word})


def test_a_total_stands_beside_an_activity_of_any_name():
    """Two sessions at 'all' and one run: a total of three, and no session counted twice."""
    table = pd.DataFrame({"device": "watch", "activity": ["all", "all", "run"]})
    assert {names[1]: len(group) for names, group in by_activity(table, ["device"], OverAll())} == {
        "all activities": 3,
        "all": 2,
        "run": 1,
    }


@pytest.mark.parametrize("name", ["placement", "any", "a", "judged_s", "activity", "session"])
def test_a_condition_of_any_name_is_held_against_faults_beside_where_the_device_sat(name):
    rows = [low(s) for s in (720, 1080, 1440, 180, 360, 540)]
    places = ["left_wrist", "right_wrist"] * 3
    held = SESSIONS.from_rows(
        [
            {"session": f"s-{n:03}", "title": "x", "wearer": "ada", "activity": "run"}
            | {"devices": 1, "clocks_aligned": 1, "clocks_left": 0}
            | {"conditions": f'{{"{name}": "{"tight" if n < 3 else "loose"}"}}'}
            for n in range(6)
        ]
    )
    placed = PLACEMENTS.from_rows(
        [
            {"session": f"s-{n:03}", "recording": "w", "device": "watch", "placement": place}
            for n, place in enumerate(places)
        ]
    )
    table = conditions(fault_seconds(*spans(*rows)), stated_conditions(placed, held), ANYTHING)
    found = {(row.condition, row.value_a, row.value_b) for row in table.itertuples()}
    ours = set(table["condition"]) - {name}
    assert len(ours) == 1
    assert found == {(name, "loose", "tight"), (ours.pop(), "left_wrist", "right_wrist")}
    stated = table.set_index("condition")["difference"]
    assert stated[name] == pytest.approx(-12)


def test_claims_over_all_activities_are_no_activitys():
    found = findings(sessions(activity="all"), Criteria(), Equivalence(), OverAll())
    policy = Policy(Claims(), Criteria(), Equivalence(), Tolerance(), OverAll())
    evidence = Evidence(found, COMPARISONS.empty(), FIRMWARE.empty(), policy)
    told = [activity for activity, _ in evidence.claims_by_activity({})]
    assert told == ["all activities", "all", "run"]


def test_a_page_never_words_a_card_as_it_words_ours():
    for word in OURS:
        said = in_words(word)
        assert said.lower() == word
        for dash in "-_":
            assert in_words(word.replace(" ", dash)) != said
    assert in_words("all") != "All"
