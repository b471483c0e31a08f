"""Which correction belongs to which figures that moved."""

from strapline.ground.settings import Tolerance
from strapline.ground.tables.editions import CHANGES, KEY_NAMES
from strapline.keeping.editions.corrections import CORRECTIONS, corrections
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


def test_a_reason_said_with_the_change_or_after_it_has_its_figures():
    mended, why = moved("s", 3.0, 2.0), said("s", "The strap slipped.")
    other = moved("other", 9.0, 8.0)
    for editions in ([mended, other, why],), ([mended, other], [why]):
        (one,) = found([], *editions)
        assert (one.session, one.why, list(one.moved["after"])) == (
            "s",
            "The strap slipped.",
            [2.0],
        )
    (late,) = found([], [mended], [other], [why])
    assert late.moved.empty


def test_the_latest_reason_of_a_session_stands_and_one_taken_back_does_not():
    first, second = said("s", "One."), said("s", "Two.", "reworded")
    assert [one.why for one in found([], [first], [second])] == ["Two."]
    gone = row("s", "gone", CORRECTIONS, figure="correction", wording_before="Two.")
    assert found([], [first], [gone]) == []
    newest = [one.session for one in found([], [said("a", "A.")], [said("b", "B.")])]
    assert newest == ["b", "a"]


def test_what_was_first_published_corrected_needs_no_correction():
    new = row("s", "new", after=2.0)
    assert found([], [new, said("s", "It slipped.")]) == []


def test_the_text_has_both_numbers_and_stays_text():
    text = told([], [moved("s", 3.04, 2.0), moved("s", 5.01, 5.02), said("s", "*It* slipped.")])
    assert text == (
        "# Corrections\n\n## s\n\n\\*It\\* slipped.\n\n| figure | published | corrected |\n"
        "| --- | --- | --- |\n"
        "| Grey \\| watch, Run, Mean absolute error, as it is | 3.0 bpm | 2.0 bpm |\n"
    )
    assert "No figure that was published changed with it." in told([], [said("s", "Why.")])
    assert NONE in told([])
