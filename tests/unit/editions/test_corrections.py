"""Which correction belongs to which figures that moved."""

from strapline.ground.settings import Tolerance
from strapline.ground.tables.editions import CHANGES, CORRECTIONS, KEY_NAMES
from strapline.keeping.editions.corrections import corrections
from strapline.telling.report.corrections import NONE, corrections_text


def row(session, change, place="metrics", **more):
    key = dict.fromkeys(KEY_NAMES, "") | {"place": place, "session": session, "figure": "mae"}
    return key | {"change": change, "unit": "bpm", "why": "changed card: s"} | more


def moved(session, before, after):
    device = {"device": "watch", "recording": "watch", "activity": "run", "alignment": "settled"}
    return row(session, "moved", before=before, after=after, **device)


def said(session, why, change="new"):
    return row(session, change, CORRECTIONS, figure="correction", wording_after=why)


def found(*editions):
    tables = [CHANGES.from_rows(rows) if rows else CHANGES.empty() for rows in editions]
    return list(corrections(tables))


def told(*editions):
    return corrections_text(found(*editions), {"watch": "Grey | watch"}, Tolerance())


def figures(one):
    return one.why, list(one.moved["before"]), list(one.moved["after"])


def test_a_reason_has_its_figures_whether_it_is_said_before_them_with_them_or_after():
    mended, why = moved("s", 3.0, 2.0), said("s", "It slipped.")
    other = moved("other", 9.0, 8.0)
    for editions in (
        ([mended, other, why],),
        ([mended, other], [why]),
        ([mended], [other], [why]),
        ([why, other], [other], [mended]),
    ):
        (one,) = found([], *editions)
        assert (one.session, *figures(one)) == ("s", "It slipped.", [3.0], [2.0])
    (waits,) = found([], [why], [other])
    assert waits.moved.empty and waits.place == 1


def test_what_the_tester_did_not_mend_is_no_correction():
    other_method = moved("s", 3.0, 2.0) | {"why": "changed code: measure; other version: scipy 2"}
    (waits,) = found([], [other_method], [said("s", "It slipped.")], [other_method])
    assert waits.moved.empty
    zone = "changed setting: align search_s 9 (was 8), clock time_zone A (was B)"
    (one,) = found([], [moved("s", 3.0, 2.0) | {"why": zone}], [said("s", "Wrong zone.")])
    assert figures(one) == ("Wrong zone.", [3.0], [2.0])


def test_what_moved_again_goes_from_what_was_published_first_to_what_is_now():
    first, again = moved("s", 3.0, 2.0), moved("s", 2.0, 1.0)
    (one,) = found([], [first], [again, said("s", "It slipped.")])
    assert figures(one) == ("It slipped.", [3.0], [1.0])
    one, two = found([], [first, said("s", "One.")], [again, said("s", "Two.", "reworded")])
    assert (figures(one), figures(two)) == (("Two.", [2.0], [1.0]), ("One.", [3.0], [2.0]))


def test_what_a_figure_was_before_it_became_another_is_not_set_against_it():
    """As when a tolerance changed between the first export and the one that was corrected."""
    another = moved("s", 2.0, 1.5) | {"change": "redefined", "why": "changed setting: tolerance"}
    mended = [moved("s", 1.5, 1.0), said("s", "It slipped.")]
    (one,) = found([], [moved("s", 3.0, 2.0)], [another], mended)
    assert figures(one) == ("It slipped.", [1.5], [1.0])


def test_a_figure_that_is_back_where_it_was_did_not_move():
    (one,) = found([], [moved("s", 3.0, 2.0)], [moved("s", 2.0, 3.0), said("s", "Half a file.")])
    assert one.moved.empty


def test_a_reason_in_other_words_stands_and_one_taken_back_does_not():
    first, second = said("s", "One."), said("s", "Two.", "reworded")
    assert [one.why for one in found([], [first], [second])] == ["Two."]
    reworded = found([], [first, moved("s", 3.0, 2.0)], [second])
    assert [figures(one) for one in reworded] == [("Two.", [3.0], [2.0])]
    gone = row("s", "gone", CORRECTIONS, figure="correction", wording_before="Two.")
    assert found([], [first], [gone]) == []
    newest = [one.session for one in found([], [said("a", "A.")], [said("b", "B.")])]
    assert newest == ["b", "a"]


def test_what_was_first_published_corrected_needs_no_correction():
    new = row("s", "new", after=2.0)
    assert found([], [new, said("s", "It slipped.")]) == []


def test_the_text_has_both_numbers_and_stays_text():
    ends = {"low_before": 4.0, "high_before": 6.0, "low_after": 3.0, "high_after": 7.0}
    little = moved("s", 5.01, 5.02) | {"figure": "bias"} | ends
    late = moved("s", 2.5, 1.5) | {"alignment": "delay_out"}
    text = told([], [moved("s", 3.04, 2.0), little, late, said("s", "*It* slipped.")])
    assert text == (
        "# Corrections\n\n## s\n\n\\*It\\* slipped.\n\n| figure | before | corrected |\n"
        "| --- | --- | --- |\n"
        "| Grey \\| watch, Run, Mean absolute error | 3.0 bpm | 2.0 bpm |\n"
    )
    taken_back = row("s", "gone", device="watch", before=3.0)
    assert "| 3.0 bpm | withdrawn |" in told([], [taken_back, said("s", "Left out.")])
    assert "No published figure has changed with it so far." in told([], [said("s", "Why.")])
    assert NONE in told([])


def test_what_was_withdrawn_and_is_published_again_is_no_longer_withdrawn():
    """A card with a mistake sets the session aside; mended, it gives another figure, and one that
    is as it was."""
    device = {"device": "watch", "recording": "watch", "alignment": "settled", "activity": ""}
    gone = [row("s", "gone", before=value, figure=name, **device) for name, value in TWO.items()]
    again = [row("s", "new", after=value, figure=name, **device) for name, value in NOW.items()]
    again.append(row("s", "gone", "sessions", figure="set_aside", wording_before="No strap."))
    (one,) = found([], [*gone, said("s", "Wrong clock.")], again)
    assert figures(one) == ("Wrong clock.", [3.0], [2.0])
    assert one.place == 2
    text = told([], [*gone, said("s", "Wrong clock.")], again)
    assert "withdrawn" not in text and "| 3.0 bpm | 2.0 bpm |" in text


TWO = {"mae": 3.0, "bias": 1.0}
NOW = {"mae": 2.0, "bias": 1.0, "rmse": 4.0}
