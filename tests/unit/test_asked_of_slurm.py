"""What is asked of Slurm. Its words are those that its 22.05 said on a bench of two nodes."""

import math

import pytest

from strapline.ground.documents import DocumentError
from strapline.running import slurm
from strapline.running.slurm import Request, Waiting, minutes_of, must_be_met, offered

# sinfo --noheader --exact --format=%P|%D|%c|%m|%l
NODES = """all*|2|8|16000|2:00:00
large|1|64|500000+|7-00:00:00
odd|n/a|n/a|n/a|n/a
"""
CONFIG = "AccountingStorageType   = {kind}\nMinJobAge               = {age} sec\n"


@pytest.fixture
def said(monkeypatch):
    answers = {slurm.NODES: NODES, slurm.CONFIG: ""}
    monkeypatch.setattr(slurm, "answer", answers.get)
    return answers


@pytest.mark.parametrize(
    "request_",
    [
        Request(8, 16000, 120),
        Request(64, 500000, 600, ("large",)),
        Request(64, 1, 1, ("x", "large")),
    ],
)
def test_what_some_node_takes_is_sent(request_, said):
    must_be_met({request_})


@pytest.mark.parametrize(
    "request_",
    [
        Request(9, 8000, 60),
        Request(8, 16001, 60),
        Request(8, 8000, 121),
        Request(8, 8000, 60, ("none",)),
    ],
)
def test_what_no_node_takes_is_refused_with_what_there_is(request_, said):
    with pytest.raises(DocumentError) as refused:
        must_be_met({Request(1, 1, 1), request_})
    sentence = str(refused.value)
    assert f"A job asks for {request_}, and no node takes that." in sentence
    assert "2 nodes of 8 cores, 16000 MB and 120 min at most (partition all)" in sentence
    assert "1 node of 64 cores, 500000 MB and 10080 min at most (partition large)" in sentence


def test_where_slurm_does_not_answer_nothing_is_refused(said):
    said[slurm.NODES] = ""
    must_be_met({Request(1000, 1, 1)})


@pytest.mark.parametrize(
    ("kind", "age", "is_refused"),
    [
        ("accounting_storage/none", 10, True),
        ("(null)", 10, True),
        ("accounting_storage/none", 300, False),
        ("accounting_storage/slurmdbd", 10, False),
    ],
)
def test_a_job_that_is_forgotten_at_once_would_be_waited_for(kind, age, is_refused, said):
    said[slurm.CONFIG] = CONFIG.format(kind=kind, age=age)
    try:
        must_be_met({Request(1, 1, 1)})
    except DocumentError as refused:
        assert is_refused and f"forgets a job {age} s after its end" in str(refused)
    else:
        assert not is_refused


# As in sinfo(1), under TIMELIMIT.
@pytest.mark.parametrize(
    ("limit", "minutes"),
    [("30:00", 30), ("2:00:00", 120), ("1-00:00:00", 1440), ("infinite", math.inf)],
)
def test_a_limit_of_time(limit, minutes):
    assert minutes_of(limit) == minutes


def test_what_slurm_offers_is_taken_apart():
    assert [offer.partition for offer in offered(NODES)] == ["all", "large"]
    assert [offer.is_default for offer in offered(NODES)] == [True, False]


def test_a_job_that_waits_a_minute_is_told_once_with_the_reason():
    waiting = Waiting("/here")
    jobs = "1|Resources|/here\n2|Priority|/here\n3|Priority|/here\n4|Licenses|/elsewhere\n"
    assert list(waiting.told(jobs, 100)) == []
    assert list(waiting.told(jobs, 159)) == []
    assert list(waiting.told(jobs, 160)) == [
        "2 jobs (2 to 3) have waited for a minute. Slurm's reason: Priority.",
        "Job 1 has waited for a minute. Slurm's reason: Resources.",
    ]
    assert list(waiting.told(jobs, 170)) == []
    assert list(waiting.told("2|Resources|/here\n3|PartitionDown|/here\n", 180)) == [
        "Job 3 has waited for a minute. Slurm's reason: PartitionDown."
    ]


def test_one_that_ran_and_waits_anew_has_not_waited_before():
    waiting = Waiting("/here")
    jobs = "1|Resources|/here\n"
    assert list(waiting.told(jobs, 0)) == list(waiting.told("", 30)) == []
    assert list(waiting.told(jobs, 60)) == []
