"""What standings rest on: sessions without a compared second, and wearers nobody states."""

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import UNSTATED
from strapline.method.agreement.standings import standings


def test_sessions_without_a_compared_second_count_only_towards_coverage():
    same = {"activity": "run", "device": "watch", "recording": "watch", "scope": "whole"}
    same |= {"alignment": "settled", "metric": "coverage", "unit": "%"}
    rows = [
        same | {"session": "a", "wearer": "ada", "value": 90.0, "n": 600},
        same | {"session": "b", "wearer": "ben", "value": 0.0, "n": 0},
        same | {"session": "c", "wearer": UNSTATED, "value": 60.0, "n": 60},
    ]
    for row in standings(METRICS.from_rows(rows)).to_dict("records"):
        assert (row["sessions"], row["wearers"], row["minutes"]) == (2, 1, 11)
        assert (row["mean"], row["lowest"], row["highest"]) == (50, 0, 90)
