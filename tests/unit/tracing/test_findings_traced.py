"""A statistic over sessions from the figures that enter it, and no others."""

import pytest

from strapline.ground.settings import Criteria, Equivalence, OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.keeping.tracing.finding import traced_finding
from strapline.method.agreement.findings import findings
from unit.agreement.archives import archive

DONE = {"watch": ("desk", "run", "walk"), "band": ("desk", "run"), "ring": ("walk",)}


@pytest.mark.parametrize(
    ("device", "entered"),
    [("watch", {"desk", "run"}), ("band", {"desk", "run"}), ("ring", {"walk"})],
)
def test_over_all_activities_those_enter_that_all_devices_share(device, entered):
    """One that was at a single activity has that."""
    rows = [
        {
            "session": activity,
            "activity": activity,
            "device": name,
            "bias": 1.0,
            "mape": place + 1.0,
        }
        for name, done in DONE.items()
        for place, activity in enumerate(done)
    ]
    metrics = archive(*rows)
    found = findings(metrics, Criteria(), Equivalence(), OverAll())
    own = found[(found["device"] == device) & (found["activity"] == ALL_ACTIVITIES)]
    (row,) = own[own["statistic"] == "mape_median"].to_dict("records")
    told = traced_finding(row, metrics, Criteria().model_dump(), ["desk", "run"])
    assert told.figures.keys() == entered
    assert told.holds and told.again == pytest.approx(row["value"])
