"""How long a run will still take, as it says while it runs."""

import pytest

from snakemake_logger_plugin_strapline import time_left


@pytest.mark.parametrize(
    ("done", "total", "seconds", "said"),
    [
        (10, 100, 60, ", about 9 min left"),
        (90, 100, 60, ", less than a minute left"),
        (100, 100, 60, ""),
        (10, 100, 5, ""),
        (1, 100, 60, ""),
    ],
)
def test_the_steps_to_come_take_as_long_as_those_done(done, total, seconds, said):
    assert time_left(done, total, seconds) == said
