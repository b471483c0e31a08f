"""The page of changes: counts, order and causes as the table has them."""

import re

import pytest

from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.tables.editions import CHANGES, KEY_NAMES
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND
from strapline.telling.report.changes import CHANGES as PAGE
from strapline.telling.report.changes import MOST_SHOWN, context
from strapline.telling.report.site import rendered

FIRST = {
    "number": 1,
    "fingerprint": "a" * 64,
    "folder": "0001-aaaaaaaa",
    "same_as": None,
    "moved": {"moved": 0, "redefined": 0, "reworded": 0, "new": 0, "gone": 0},
    "why": "",
}


def moved(device, before, after, **more):
    key = {"place": "findings", "device": device, "activity": ALL_ACTIVITIES, "figure": "bias"}
    rest = {
        "change": "moved",
        "unit": "bpm",
        "before": before,
        "after": after,
        "why": "new card: s",
    }
    return dict.fromkeys(KEY_NAMES, "") | key | rest | more


def second(rows, **more):
    kinds = [row["change"] for row in rows]
    counted = {kind: kinds.count(kind) for kind in FIRST["moved"]}
    own = {"number": 2, "folder": "0002-bbbbbbbb", "moved": counted, "why": "new card: s"}
    return [FIRST, FIRST | own | more]


@pytest.fixture
def shown(tolerance):
    def made(rows, editions=None):
        labels = {"grey": "Grey <b>watch</b>"}
        table = CHANGES.from_rows(rows)
        return context(table, editions or second(rows), labels, tolerance)

    return made


def html(shown):
    return rendered(PAGE, Presentation(), shown)


def test_averages_come_before_limits_that_moved_further(shown):
    rows = [
        moved("grey", -40.0, -48.0, figure="limit_lower"),
        moved("grey", 2.0, 2.5, figure="mean_mae", place="standings"),
    ]
    text = html(shown(rows))
    assert text.index("mean of sessions") < text.index("Lower limit")


def other(before, after, **more):
    names = {"wording_before": "Within 5 bpm", "wording_after": "Within 3 bpm"}
    row = moved("grey", before, after, figure="within_beats", place="metrics", unit="%", **names)
    return row | {"change": "redefined", "activity": "", "session": "s"} | more


def test_figures_by_another_tolerance_are_told_as_others_with_both_numbers(shown):
    of_standings = {"place": "standings", "figure": "mean_within_beats", "session": ""}
    rows = [other(95.1, 53.7), other(95.3, 54.0, activity="run", **of_standings)]
    text = html(shown(rows)).replace("\u00a0", " ")
    assert "“Within 5 bpm” is now “Within 3 bpm”" in re.sub(r"<[^>]*>", "", text)
    cells = [re.sub(r"<[^>]*>", "", c) for c in re.findall(r"<td[^>]*>.*?</td>", text)]
    assert cells[:4] == ["Within 5 bpm", "95.3 %", "Within 3 bpm", "54.0 %"]
    assert cells[4:8] == ["Within 5 bpm", "95.1 %", "Within 3 bpm", "53.7 %"]
    assert "2 figures are others now, by another tolerance" in shown(rows)["lead"]
    assert "moved" not in shown(rows)["lead"]


def test_the_first_edition_has_nothing_to_compare_with(shown):
    text = html(shown([], [FIRST]))
    assert "there is nothing to compare with" in text
    assert "Figures over sessions" not in text


def test_counts_stand_in_the_lead(shown):
    rows = [
        moved("grey", 1.0, 3.0),
        moved("blue", 1.0, 1.01),
        moved("grey", None, None, change="new", figure="mae"),
    ]
    assert shown(rows)["lead"] == (
        "From edition 1 to edition 2: 2 figures moved, one of them as printed; one figure or "
        "sentence is new."
    )
    assert shown(rows)["unseen"] == 1


def test_the_largest_moves_come_first_and_the_rest_is_folded(shown):
    rows = [moved(f"d{n:02}", 0.0, float(n)) for n in range(1, MOST_SHOWN + 4)]
    rows.append(moved("share", 0.0, 90.0, unit="%"))
    devices = [row.about for row in shown(rows)["of_archive"]]
    assert devices[0] == f"d{MOST_SHOWN + 3:02}, all activities"
    assert devices[-1] == "share, all activities"
    before_fold, after_fold = html(shown(rows)).split("4 figures more")
    assert before_fold.count('scope="row"') == MOST_SHOWN
    assert "d01" in after_fold and "d01" not in before_fold


def test_a_move_of_the_interval_alone_is_seen(shown):
    ends = {"low_before": 0.0, "high_before": 2.0, "low_after": 0.5, "high_after": 2.0}
    (row,) = shown([moved("grey", 1.0, 1.0, **ends)])["of_archive"]
    assert (row.before, row.after) == ("1.0 bpm (0.0 to 2.0)", "1.0 bpm (0.5 to 2.0)")


def test_a_cause_of_its_own_stands_beside_its_figure(shown):
    rows = [moved("grey", 1.0, 2.0), moved("blue", 1.0, 2.0, why="new card: t")]
    text = html(shown(rows))
    assert text.count("new card: t") == 1


def test_sentences_are_told_before_and_after_and_stay_text(shown):
    words = {"wording_before": "It <i>read</i> low.", "wording_after": "It tends to."}
    row = moved("grey", None, None, change="reworded", place="claims", unit="", **words)
    text = html(shown([row]))
    assert "It &lt;i&gt;read&lt;/i&gt; low." in text and "It tends to." in text
    assert "Grey &lt;b&gt;watch&lt;/b&gt;, all activities" in text


def test_figures_that_came_back_are_said_to(shown):
    rows = [moved("grey", 1.0, 2.0)]
    assert "again what edition 1 said" in html(shown(rows, second(rows, same_as=1)))


def test_time_in_faults_is_named_in_words(shown):
    names = {"place": "faults", "unit": "min/h"}
    rows = [
        moved("grey", 2.0, 1.0, figure=f"minutes_per_hour_{kind}", **names)
        for kind in (ANY_KIND, "reads_low")
    ]
    told = {row.figure for row in shown(rows)["of_archive"]}
    assert told == {"Time in the hour, any fault", "Time in the hour, reads low"}


def test_new_and_gone_are_counted_as_figures_and_as_sentences(shown, tmp_path):
    words = {"wording_before": "It read low.", "change": "gone", "session": "s"}
    rows = [moved("grey", 1.0, None, change="gone", session="s") for _ in range(2)]
    rows.append(moved("grey", None, None, place="sentences") | words)
    CHANGES.write(CHANGES.from_rows(rows), tmp_path / "changes.parquet")
    kept = context(CHANGES.read(tmp_path / "changes.parquet"), second(rows), {}, Tolerance())
    assert kept["gone"] == ["s: 2 figures and one sentence"]


def test_what_nobody_reads_comes_after_what_people_read(shown):
    rows = [
        moved("grey", 0.0, 90.0, figure="median_mae", place="standings"),
        moved("grey", 0.0, 80.0, figure="mean_mae", place="standings", alignment="delay_out"),
        moved("grey", 0.5, 0.7, figure="bias_next_session"),
        moved("grey", 1.0, 2.0, figure="mean_mae", place="standings"),
    ]
    told = [row.figure for row in shown(rows)["of_archive"]]
    assert told[0] == "Mean absolute error, mean of sessions"
    assert "Bias of a further session" in told
