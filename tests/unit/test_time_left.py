"""How long a run will still take, as it says while it runs."""

import logging
from types import SimpleNamespace

import pytest
from snakemake_interface_logger_plugins.common import LogEvent

from snakemake_logger_plugin_strapline import LogHandler, time_left


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


def test_it_goes_by_the_time_since_the_first_step_and_says_what_is_at_work(monkeypatch, capsys):
    """Until then Snakemake lists what is to be done."""
    now = [0.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    handler = LogHandler.__new__(LogHandler)
    handler.common_settings = SimpleNamespace(dryrun=False)
    handler.__post_init__()

    def told(at, **facts):
        now[0] = at
        record = logging.makeLogRecord({"levelno": logging.INFO} | facts)
        handler.emit(record)
        return capsys.readouterr().err

    assert told(300, event=LogEvent.JOB_INFO, rule_name="session_page") == ""
    assert told(310, event=LogEvent.PROGRESS, done=10, total=100) == (
        "10 of 100 steps done; now: session page\n"
    )
    assert told(360, event=LogEvent.PROGRESS, done=20, total=100) == (
        "20 of 100 steps done, about 4 min left; now: session page\n"
    )
    assert told(900, event=LogEvent.PROGRESS, done=100, total=100) == ""
