"""Where Snakemake is not what a mend was written for, it stays as it is, and a line says so."""

import asyncio
import tomllib
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import pytest

from strapline.keeping.as_made.look import Found
from strapline.running.snakemake_hooks import quick
from strapline.running.snakemake_hooks.mending import TESTED, Mend, Mending
from strapline.running.snakemake_hooks.redo import SnakemakeJobs

ROOT = Path(__file__).resolve().parents[3]


class Recorded:
    """What redoing is asked, which finds that all is to be made again."""

    def __init__(self):
        self.asked = []
        places = SimpleNamespace(name_of=lambda path: path)
        self.look = SimpleNamespace(
            places=places,
            is_as_noted=lambda job: True,
            date_again=lambda job, was_whole: self.asked.append("date_again"),
        )

    def leaves_a_receipt(self, job):
        return True

    def found(self, standing):
        return Found(missing=frozenset(standing.job.outputs))

    def end_of_look(self):
        self.asked.append("end_of_look")

    def make_room(self, job):
        self.asked.append("make_room")


def redo(mending):
    return SnakemakeJobs(None, Recorded(), mending)


def of_redo():
    """The mends that belong together."""
    found = []

    class Collecting(Mending):
        def mend(self, *mends):
            found.extend(mends)
            return True

    redo(Collecting()).mend()
    return found


ALL = [*quick.mends(Mending()), *of_redo()]
TOGETHER = {each.place for each in of_redo()} - {"_IOFile._local_inventory"}


def owner_of(mend):
    import_module("snakemake.api")
    module, _, name = mend.owner.partition(":")
    return getattr(import_module(module), name)


@pytest.fixture(autouse=True)
def put_back(monkeypatch):
    for mend in ALL:
        monkeypatch.setattr(owner_of(mend), mend.name, vars(owner_of(mend))[mend.name])


def state():
    return {mend.place: vars(owner_of(mend))[mend.name] for mend in ALL}


def mend_all():
    """Which were made."""
    before, mending = state(), Mending()
    for each in quick.mends(mending):
        mending.mend(each)
    redo(mending).mend()
    return {place for place, now in state().items() if now is not before[place]}


def test_all_are_made_where_snakemake_is_what_was_tested(capsys):
    assert mend_all() == {mend.place for mend in ALL}
    assert capsys.readouterr().err == ""


def test_they_can_be_made_twice(capsys):
    assert mend_all() == mend_all()
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("mend", ALL, ids=[mend.place for mend in ALL])
@pytest.mark.parametrize("what", ["gone", "with other parameters", "no function"])
def test_what_is_gone_or_another_is_left_alone(monkeypatch, capsys, mend, what):
    new = {"with other parameters": lambda one, two, three: None, "no function": 3}.get(what)
    monkeypatch.setattr(owner_of(mend), mend.name, new)
    others = {each.place for each in ALL} - {mend.place}
    if what == "gone":
        kept = owner_of(mend).__dict__[mend.name]
        delattr(owner_of(mend), mend.name)
    before, mending = _there(), Mending()
    for each in quick.mends(mending):
        mending.mend(each)
    redo(mending).mend()
    made = {place for place, now in _there().items() if now is not before.get(place)}
    if what == "gone":
        setattr(owner_of(mend), mend.name, kept)
    assert made == (others - TOGETHER if mend.place in TOGETHER else others)
    said = capsys.readouterr().err
    assert mend.place in said and said.count("\n") == 1


def _there():
    found = {mend.place: vars(owner_of(mend)).get(mend.name) for mend in ALL}
    return {place: now for place, now in found.items() if now is not None}


def test_another_release_is_not_touched_and_one_line_says_so(monkeypatch, capsys):
    monkeypatch.setattr("strapline.running.snakemake_hooks.mending.version", lambda _: "9.28.0")
    assert mend_all() == set()
    said = capsys.readouterr().err
    assert "9.28.0" in said and TESTED in said and said.count("\n") == 1


@pytest.mark.parametrize(
    ("release", "tested"),
    [("9.27", True), ("9.27.1", True), ("9.27.12", True), ("9.270.1", False), ("10.0", False)],
)
def test_the_tested_releases_are_those_that_are_installed(monkeypatch, release, tested):
    monkeypatch.setattr("strapline.running.snakemake_hooks.mending.version", lambda _: release)
    assert Mending().is_tested == tested


def test_the_project_asks_for_the_tested_release_alone():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    minor = int(TESTED.partition(".")[2])
    assert f"snakemake>={TESTED},<9.{minor + 1}" in project["dependencies"]
    assert f'min_version("{TESTED}")' in (ROOT / "Snakefile").read_text()


def test_a_mend_of_nothing_is_none():
    assert not Mending().mend(Mend("snakemake.dag:NoSuch", "name", "(self)", None))
    assert not Mending().mend(Mend("snakemake.no_such:DAG", "name", "(self)", None))


# What the mends look at in objects of Snakemake's that are there only while it runs.

OF_A_SCHEDULER = [
    "_lock",
    "_open_jobs",
    "exit_gracefully",
    "resources",
    "workflow",
    "workflow.cores",
    "workflow.dag",
    "workflow.dag.ready_jobs",
    "workflow.local_exec",
]


def scheduler_without(name):
    dag = SimpleNamespace(ready_jobs={1, 2})
    workflow = SimpleNamespace(cores=2, dag=dag, local_exec=True)
    scheduler = SimpleNamespace(
        workflow=workflow,
        resources={"_cores": 2},
        _lock=None,
        _open_jobs=SimpleNamespace(release=lambda: None),
        exit_gracefully=lambda: None,
    )
    take(scheduler, name)
    return scheduler


def take(thing, name):
    """Take away an attribute, or one of an attribute."""
    *way, last = name.split(".")
    for step in way:
        thing = getattr(thing, step)
    delattr(thing, last)


@pytest.mark.parametrize("name", OF_A_SCHEDULER)
def test_a_scheduler_without_it_does_as_it_ever_did(monkeypatch, capsys, name):
    monkeypatch.setattr(quick.threading, "Timer", lambda *given: SimpleNamespace(start=lambda: 0))
    monkeypatch.setattr(quick.signal, "signal", lambda *given: None)
    own = quick.Quick(Mending())
    asked = []
    scheduler = scheduler_without(name)
    own.begun_otherwise(lambda scheduler: asked.append("__init__"))(scheduler)
    own.with_one_timer(lambda scheduler, delay: asked.append("timer"))(scheduler, 1.0)
    assert set(own.some_ready_jobs(lambda scheduler: [1, 2])(scheduler)) == {1, 2}
    assert own.only_at_the_end(lambda scheduler: [])(scheduler) == []
    assert asked == ["__init__", *(["timer"] if name == "_open_jobs" else [])]
    assert capsys.readouterr().err.count("\n") == 1
    assert not quick.told_to_end(scheduler)


OF_A_JOB = [
    "dag",
    "dag.dependencies",
    "dag.finished",
    "dag.jobs",
    "dag.needrun",
    "dag.reason",
    "dag.toposorted",
    "input",
    "output",
    "rule",
    "rule.name",
    "wildcards",
    "wildcards.get",
]
NOTHING = "nothing"


class Job:
    """As Snakemake's, for as much as is looked at."""

    def __init__(self):
        reason = SimpleNamespace(missing_output=set(), updated_input=set())
        self.rule = SimpleNamespace(name="align")
        self.wildcards = SimpleNamespace(get=lambda name: "first")
        self.input, self.output = ["in"], [Output("out")]
        self.dag = SimpleNamespace(
            jobs=[self],
            dependencies={self: {}},
            finished=lambda job: True,
            needrun=lambda job: True,
            reason=lambda job: reason,
            toposorted=lambda: [[self]],
        )


class Output(str):
    is_directory = False


@pytest.mark.parametrize("name", [NOTHING, *OF_A_JOB])
def test_jobs_without_it_are_done_as_they_ever_were(monkeypatch, capsys, name):
    asked, job = [], Job()
    dag = job.dag

    async def original(*given):
        asked.append("original")

    mending = Mending()
    jobs = SnakemakeJobs(SimpleNamespace(dag=dag), Recorded(), mending)
    checked, touched, prepared, protected = (
        each.mended(original) for each in _mends_of(jobs, monkeypatch) if each.place in TOGETHER
    )
    if name != NOTHING:
        take(job, name)

    async def run():
        await checked(dag)
        await prepared(job)
        await touched(dag, job)
        await protected(job)

    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, run()).result()
    standing = jobs.standing()
    # Whether an output is protected is Strapline's to judge for jobs that it knows.
    assert asked.count("original") == (4 if name in ("output", "rule", "rule.name") else 3)
    assert capsys.readouterr().err.count("\n") == (0 if name == NOTHING else 1)
    assert len(standing) == (name in (NOTHING, "dag", "dag.reason", "dag.toposorted", "input"))


def _mends_of(jobs, monkeypatch):
    found = []
    with monkeypatch.context() as patched:
        patched.setattr(Mending, "mend", lambda self, *mends: bool(found.extend(mends) or True))
        jobs.mend()
    return found
