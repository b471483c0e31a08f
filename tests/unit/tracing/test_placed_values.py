"""Values are traced to where they were compared, whatever their own time."""

import numpy as np

from intakes import recording
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.tables.recordings import BEATS, NORMALISED, SAMPLES
from strapline.ground.vocabulary import Decision
from strapline.keeping.tracing.samples import Recording
from strapline.method.signal.grid import times_of


def test_a_report_is_found_where_the_time_that_it_stands_for_ends():
    minutes = np.arange(1_770_000_000.0, 1_770_000_600.0, 60)
    frame = NORMALISED.frame(
        {
            "recording": np.full(10, "watch", dtype=object),
            "ordinal": np.arange(10),
            "time": times_of(minutes),
            "heart_rate_bpm": 120.0 + np.arange(10),
            "flag": np.full(10, "kept", dtype=object),
            "artefact_share": np.full(10, np.nan),
        }
    )
    clock = ClockDecision(
        recording="watch", offset_s=5, decision=Decision.STATED, reason="", stamp_shift_s=60
    )
    nothing = SAMPLES.empty(), BEATS.empty()
    traced = Recording(recording(), frame, *nothing, "samples", clock)
    assert traced.next_report_s(minutes[0] + 6) == minutes[0] + 65
    assert traced.values_within(minutes[0] + 65, 60)["ordinal"].tolist() == [0]
