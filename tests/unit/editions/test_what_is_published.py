"""Each figure that is published is the value of its table, under its own name."""

import pandas as pd
import pyarrow as pa

from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Tolerance
from strapline.ground.tables.archive import (
    COMPARISONS,
    CONDITIONS,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.editions import CORRECTIONS
from strapline.ground.tables.sessions import CONSEQUENCES, METRICS, SENTENCES, STATED
from strapline.ground.tables.table import COUNT, REAL, TEXT, TIME, WORD
from strapline.keeping.editions.of_archive import of_archive
from strapline.keeping.editions.of_sessions import of_sessions
from strapline.method.claims.evidence import Evidence, Policy

ANYTHING = {
    COUNT: 7,
    REAL: 7.0,
    TEXT: "x",
    WORD: "x",
    TIME: pd.Timestamp(0, tz="UTC"),
    pa.bool_(): True,
}
KNOWN = {"session": "s", "device": "watch", "recording": "watch", "activity": "run"}


def one(table, **row):
    """A table of one row, with anything where nothing is said."""
    anything = {column.name: ANYTHING[column.type] for column in table.columns}
    return table.from_rows([anything | KNOWN | row])


def said(published):
    """By place and figure, what there is of its value, its ends and its words."""
    rows = published[["place", "figure", "value", "low", "high", "wording"]].astype(object)
    told = rows.to_numpy().tolist()
    return {
        (place, figure): [each for each in rest if pd.notna(each)] for place, figure, *rest in told
    }


def test_of_a_session():
    published = of_sessions(
        one(METRICS, metric="mae", value=2.5, ci_low=2.0, ci_high=3.0),
        SENTENCES.joined(
            [
                one(SENTENCES, form="line", place=2, text="It came back."),
                one(SENTENCES, form="line", place=1, text="It read low."),
            ]
        ),
        one(CONSEQUENCES, quantity="peak", at_s=61.0, difference=-4.0, low=-6.0, high=-2.0),
        {"s": "The strap had slipped."},
        one(STATED, figure="stated_average", difference=1.0, sentence="It states 1 bpm more."),
    )
    assert said(published) == {
        ("metrics", "mae"): [2.5, 2.0, 3.0],
        ("sentences", "line"): ["It read low. It came back."],
        ("consequences", "peak at 61 s"): [-4.0, -6.0, -2.0],
        (CORRECTIONS, "correction"): ["The strap had slipped."],
        ("stated", "stated_average"): [1.0, "It states 1 bpm more."],
    }
    assert set(published["session"]) == {"s"}


def test_over_sessions_but_for_what_claims_rest_on():
    policy = Policy(Claims(), Criteria(), Equivalence(), Tolerance(), OverAll())
    wrists = {"condition": "wrist", "value_a": "left", "value_b": "right"}
    nothing = Evidence(FINDINGS.empty(), COMPARISONS.empty(), FIRMWARE.empty(), policy)
    published = of_archive(
        nothing,
        one(STANDINGS, metric="mae", mean=2.5, median=2.0, lowest=1.0, highest=6.0),
        one(SESSIONS, minutes=31.0, set_aside="It is short."),
        one(FAULTS, kind="stuck", minutes_per_hour=3.0, low=1.0, high=5.0),
        one(CONDITIONS, **wrists, difference=2.0, low=0.5, high=3.5),
        {"watch": "Watch"},
    )
    assert said(published) == {
        ("standings", "mean_mae"): [2.5],
        ("standings", "median_mae"): [2.0, 1.0, 6.0],
        ("sessions", "minutes"): [31.0],
        ("sessions", "set_aside"): ["It is short."],
        ("faults", "minutes_per_hour_stuck"): [3.0, 1.0, 5.0],
        ("conditions", "wrist: left − right"): [2.0, 0.5, 3.5],
    }
