"""What is said of a device's faults: every number read back, and nothing beyond the policy."""

import math
import re

import pytest

from strapline.ground.settings import Claims, OverAll
from strapline.ground.tables.archive import CONDITIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND
from strapline.method.episodes.faults import faults
from strapline.method.episodes.kinds import KINDS
from strapline.telling.report.conditions import condition_claim
from strapline.telling.report.faults import device_faults
from unit.episodes.fault_archives import archive, low

CLAIMS = Claims()
NUMBER = r"([−+]?\d+(?:\.\d+)?)"
KNOWN = rf"\(95 % interval {NUMBER} to {NUMBER}; (\d+) sessions, (\w+) wearers?\)"


def read(text):
    return [float(n) for n in re.findall(r"[+-]?\d+(?:\.\d+)?", text.replace("−", "-"))]


def told(*sessions, conditions=None, over_all=()):
    table = faults(*archive(*sessions), 10, OverAll(activities=over_all))
    shown = CONDITIONS.empty() if conditions is None else conditions
    return table, device_faults("watch", "Watch", table, shown, CLAIMS)


def cell(table, activity, kind):
    (row,) = table[(table["activity"] == activity) & (table["kind"] == kind)].to_dict("records")
    return row


def lost(seconds, **names):
    """A session low for some seconds, and once, for as many, without a value at the end."""
    missing = ("no_value", 3600 - seconds, 3600, math.nan, 0)
    session = low(2 * seconds, **names)
    return session | {"episodes": [*session["episodes"], missing]}


ENOUGH = [
    *(low(s, activity="ride", wearer=w) for s, w in ((600, "ada"), (900, "bo"), (720, "ada"))),
    *(lost(s, activity="run", wearer=w) for s, w in ((60, "ada"), (70, "bo"), (85, "cy"))),
]


def test_each_sentence_has_the_tables_numbers():
    table, shown = told(*ENOUGH)
    first, second, last = shown.sentences
    whole, main = cell(table, ALL_ACTIVITIES, ANY_KIND), cell(table, ALL_ACTIVITIES, "reads_low")
    numbers = re.search(rf"not right for {NUMBER} minutes in the hour {KNOWN}\.$", first).groups()
    expected = [whole["minutes_per_hour"], whole["low"], whole["high"]]
    assert [float(n) for n in numbers[:3]] == pytest.approx(expected, abs=0.051)
    assert numbers[3:] == ("6", "3")
    assert "For most of that" in second and "it read low" in second
    expected = [main["minutes_per_hour"], 6, 6, main["median_length_s"] / 60, 20]
    minutes, *rest = read(re.sub(r"typically for (\d+) min (\d+) s", _decimal, second))
    assert minutes == pytest.approx(main["minutes_per_hour"], abs=0.051)
    assert rest == pytest.approx(expected[1:], abs=0.01)
    for activity, kind in (("ride", "reads_low"), ("run", "reads_low")):
        row = cell(table, activity, kind)
        given = read(shown.weakness[activity])
        expected = [row["sessions_with"], row["sessions"], row["minutes_per_hour"]]
        assert given[:3] == pytest.approx(expected, abs=0.051)
    absent = [kind.name.lower() for kind in KINDS if kind.key not in ("no_value", "reads_low")]
    assert last == f"What did not occur in 6 sessions: {', '.join(absent)}."


def _decimal(match):
    return f"typically for {int(match[1]) + int(match[2]) / 60}"


def test_below_the_policy_only_what_was_in_these_sessions():
    _, shown = told(low(600), low(300))
    assert shown.sentences == [
        "In these 2 sessions Watch was not right for 7.5 minutes in the hour (2 sessions, one "
        "wearer): too little to say more.",
        "All of that time it read low, in 2 of 2 sessions: typically for 7 min 30 s, 20.0 bpm off.",
    ]
    assert all(math.isnan(v.low) for row in shown.rows for v in row["values"])


def test_a_weakness_says_in_how_many_sessions_it_was():
    """The ride is far worse, but the device was missing in one session of it alone."""
    rides = [low(60, activity="ride")] * 2 + [lost(600, activity="ride")]
    _, shown = told(*rides, *[low(120)] * 3)
    assert "it read low in 3 of 3 sessions, for " in shown.weakness["ride"]
    assert "it read low in 3 of 3 sessions, for " in shown.weakness["run"]


def test_a_device_without_a_fault():
    _, shown = told(*[low(0)] * 4)
    assert shown.sentences == [
        "In these 4 sessions no fault of Watch was found (4 sessions, one wearer).",
        f"None of the {len(KINDS) - 1} kinds that could be looked for occurred.",
    ]


def test_one_activity_is_told_once():
    _, shown = told(*[low(s) for s in (300, 400, 500)])
    assert shown.columns == [("run", 3)]
    assert shown.sentences[0].startswith("Run: Watch was not right for 6.7 minutes in the hour")
    assert sum("it read low" in text for text in shown.sentences) == 1


def test_a_device_whose_activities_do_not_count_over_all_is_told_by_its_own():
    runs = [low(s) for s in (300, 400, 500)]
    _, shown = told(*runs, over_all=("ride",))
    _, counted = told(*runs)
    assert shown.sentences == counted.sentences
    assert [row["name"] for row in shown.rows] == [row["name"] for row in counted.rows]
    _, shown = told(*runs, low(300, activity="strength"), over_all=("ride",))
    assert shown.sentences == [
        "None of its activities is among those that count over all (run and strength)."
    ]
    assert (shown.columns, shown.rows) == ([("run", 3), ("strength", 1)], [])
    assert "it read low" in shown.weakness["run"]


def test_the_table_has_the_archives_figures():
    table, shown = told(*ENOUGH)
    assert shown.columns == [("ride", 3), ("run", 3), (ALL_ACTIVITIES, 6)]
    rows = {row["name"]: row for row in shown.rows}
    assert len(rows) == len(KINDS) + 1  # any kind
    for activity, value in zip(
        ("ride", "run", ALL_ACTIVITIES), rows["No value"]["values"], strict=True
    ):
        row = cell(table, activity, "no_value")
        assert value.value == row["minutes_per_hour"]
        assert value.low == pytest.approx(row["low"], nan_ok=True)
    assert rows["No value"]["came_back"] == "0 of 3"
    assert rows["Stuck on one value"]["came_back"] == "–"


def test_a_device_nobody_judged_has_nothing():
    table, _ = told(*ENOUGH)
    shown = device_faults("other", "Other", table, CONDITIONS.empty(), CLAIMS)
    assert (shown.sentences, shown.rows, shown.conditions) == ([], [], [])


ROW = {
    "device": "watch",
    "condition": "temperature_c",
    "value_a": "above 12",
    "value_b": "up to 12",
    "sessions_a": 5,
    "sessions_b": 7,
    "wearers": 2,
    "minutes": 150.0,
    "confounded": False,
    "difference": -4.25,
    "low": -7.1,
    "high": -1.4,
    "p": 0.004,
    "p_family": 0.012,
}


def test_a_shown_condition_has_its_numbers_and_is_no_cause():
    claim = condition_claim("Watch", ROW)
    assert claim.verdict == "shown"
    assert claim.sentence == (
        "Temperature, °C, above 12 against up to 12: Watch was not right for 4.2 minutes an hour "
        "less where it was ‘above 12’ (95 % interval −7.1 to −1.4; p = 0.012 over all "
        "comparisons; 5 against 7 sessions at the same activities, 2 wearers on the side with "
        "fewer). Sessions were not drawn by lot, so other causes are possible."
    )


@pytest.mark.parametrize(
    ("change", "verdict", "words"),
    [
        ({"p_family": 0.05}, "not yet", "whether it makes a difference is not yet known"),
        ({"p_family": 0.049}, "shown", "other causes are possible"),
        ({"p_family": math.nan}, "not yet", "(5 against 7 sessions"),
        ({"confounded": True}, "shown", "Condition and person cannot be told apart."),
    ],
)
def test_a_condition_is_shown_only_beyond_chance(change, verdict, words):
    claim = condition_claim("Watch", ROW | change)
    assert claim.verdict == verdict
    assert words in claim.sentence


def test_comparisons_are_counted_over_all_devices():
    rows = [ROW, ROW | {"device": "band"}, ROW | {"p": None, "p_family": None}]
    _, shown = told(*ENOUGH, conditions=CONDITIONS.from_rows(rows))
    assert shown.looked_at == 2
    assert len(shown.conditions) == 1


def test_what_was_never_looked_for_did_not_fail_to_occur():
    """Two of four sessions have no cadence; no session has values often enough for jumps."""
    sparse, plain = '{"spike": "why"}', '{"spike": "why", "follows_cadence": "why"}'
    sessions = [low(0) | {"not_testable": told} for told in (sparse, sparse, plain, plain)]
    _, shown = told(*sessions)
    assert shown.sentences[1:] == [
        f"None of the {len(KINDS) - 2} kinds that could be looked for occurred.",
        "What could not be looked for in any session: jumps away.",
    ]
    _, shown = told(*[low(s) | {"not_testable": plain} for s in (300, 400, 500)], sessions[0])
    never = [text for text in shown.sentences if text.startswith("What did not occur")]
    assert never[1:] == [
        "What did not occur in one session in which it could be looked for: shows the cadence."
    ]
    assert "jumps away" not in never[0]


@pytest.mark.parametrize("clock_is_open", [True, False])
def test_lateness_is_told_and_is_no_fault(clock_is_open):
    late = {"episodes": [("slow_to_follow", 0, 240, 12.0, 500)], "judged_s": 3600}
    late |= {"clock_is_open": clock_is_open}
    _, shown = told(*[late] * 3)
    assert shown.sentences[0].startswith("In these 3 sessions no fault of Watch was found")
    assert shown.sentences[1] == (
        "It was late for 4.0 minutes in the hour, in 3 of 3 sessions, 12.0 bpm off."
    )
    rides = [low(0, activity="ride", clock_is_open=True)] * 2
    _, shown = told(*rides, *[late | {"activity": at} for at in ("ride", "run", "run")])
    assert shown.sentences[1] == (
        "It was late for 2.7 minutes in the hour, in 3 of 5 sessions, 12.0 bpm off, most in run "
        "(4.0)."
    )


def test_a_device_that_reads_high_again_and_again_is_not_said_to_come_back():
    high = [("reads_high", at, at + 80, 8.0, 500) for at in range(0, 3000, 200)]
    _, shown = told(*[{"episodes": high, "judged_s": 3600, "activity": "strength"}] * 3)
    assert shown.sentences[1] == (
        "All of that time it read high, in 3 of 3 sessions: typically for 1 min 20 s, 8.0 bpm off."
    )


def test_lateness_is_the_worst_of_no_activity():
    late = ("slow_to_follow", 700, 1900, 12.0, 500)
    sessions = [low(60, activity=activity, clock_is_open=True) for activity in ("ride", "run") * 3]
    sessions = [each | {"episodes": [*each["episodes"], late]} for each in sessions]
    _, shown = told(*sessions)
    assert shown.rows[-1]["sessions_with"] == 6


def test_a_kind_that_could_not_always_be_told_is_no_part_of_the_whole():
    """On the cadence for ten minutes in one session; in three others nobody can say. Low for a
    minute in each."""
    cadence = {"judged_s": 3600, "episodes": [("follows_cadence", 0, 600, 12.0, 500)]}
    _, shown = told(cadence, *[low(60) | {"not_testable": '{"follows_cadence": "why"}'}] * 3)
    assert "not right for 3.2 minutes in the hour" in shown.sentences[0]
    assert shown.sentences[1] == (
        "In the one session in which that could be told, it showed the cadence for 10.0 minutes "
        "in the hour: for 10 min, 12.0 bpm off."
    )
