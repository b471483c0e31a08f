"""What `strapline status` knows of the next run: by inbox, register, wearers and method."""

from dataclasses import replace
from pathlib import Path

import pytest

import intakes
from strapline.ground.files import write_model
from strapline.ground.records.card import Body
from strapline.ground.records.register import Register
from strapline.ground.records.wearers import Wearers
from strapline.ground.settings import Settings
from strapline.keeping.as_made.notes import Note
from strapline.keeping.as_made.settled import FILE_NAME, Kept, Seal
from strapline.keeping.provenance import canonical, fingerprint, sections_read
from strapline.keeping.receipts import Places, Receipt, receipt_path
from strapline.reading.inbox.discovery import Inbox, SessionFolder
from strapline.running.own import Own
from strapline.running.params import OfSessions
from strapline.running.pending import Pending
from strapline.running.taken import Taken
from strapline.running.told import Said, Told

REGISTER = Register.model_validate({"devices": {"watch": {"label": "Watch"}}})
RENAMED = Register.model_validate({"devices": {"watch": {"label": "Grey watch"}}})
KNOWN = Wearers.model_validate({"wearers": {"june": [{"maximum_bpm": 190}]}})
FOUR = Settings.model_validate({"tolerance": {"beats": 4.0}})


def receipt(places, first, stage, settings, **more):
    held = {name: part.model_dump(mode="json") for name, part in settings.items()}
    facts = {"stage": stage, "method": fingerprint(stage, Settings()), "inputs": {}, "outputs": {}}
    path = receipt_path(places, first)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_model(path, Receipt(settings=held, **facts, **more))


@pytest.fixture
def pending(tmp_path):
    """A function of what is other than in the last run, which made one session."""
    places = Places(tmp_path, tmp_path / "inbox")
    (tmp_path / "sessions" / "s-1").mkdir(parents=True)
    (tmp_path / "sessions" / "s-1" / "ledger.json").write_text("{}")

    def taken(sha256="1", *others):
        names = ["s-1", *others]
        folders = {n: SessionFolder(n, n, None, (Path(n, "watch.csv"),)) for n in names}
        return Taken(Inbox(folders), {Path(n, "watch.csv"): sha256 for n in names}, {}, ())

    own = Own(Settings(), REGISTER, Wearers(), places)
    of_sessions = OfSessions(own, taken(), Kept())
    seal = Seal(
        sources=of_sessions.sources_hashed("s-1"), besides="", devices=None, jobs=(), folders=()
    )
    used = canonical(of_sessions.register_with(None)[0])
    names = {"intake": "sessions/s-1/intake.json", "measure": "sessions/s-1/metrics.parquet"}
    names |= {"aggregate": "archive/sessions.parquet", "session_page": "report/sessions/s-1.html"}
    notes = {}
    for stage, name in names.items():
        more = {"devices": used} if stage == "intake" else {}
        settings = Settings().only(sections_read(stage))
        receipt(places, f"results/{name}", stage, settings, **more)
        notes[f"results/{name}"] = Note(method=fingerprint(stage, Settings()), sha256={}, files={})
    write_model(tmp_path / FILE_NAME, Kept(seals={"s-1": seal}, notes=notes))

    def made(found=(), told=Told(), **other):  # noqa: B008
        return Pending(replace(own, **other), taken(*found), told)

    return made


def test_where_nothing_is_other_nothing_is_to_be_done(pending):
    assert list(pending().sessions()) == [] and pending().recomputed() == ""


@pytest.mark.parametrize(
    ("other", "sessions"),
    [
        ({"found": ("1", "s-2")}, ["s-2"]),
        ({"found": ("2",)}, ["s-1"]),
        ({"register": RENAMED}, ["s-1"]),
        ({"wearers": KNOWN}, ["s-1"]),
        ({"settings": FOUR}, []),
    ],
)
def test_sessions_whose_sources_are_others_are_named(pending, other, sessions):
    assert list(pending(**other).sessions()) == sessions


@pytest.mark.parametrize(("body", "sessions"), [({}, []), ({"resting_bpm": 50}, ["s-1"])])
def test_what_is_known_of_a_wearer_is_for_the_sessions_that_it_is_of(
    pending, tmp_path, body, sessions
):
    """It was said of this one, or is not said of it."""
    known = intakes.session(name="s-1").model_copy(update={"body": Body(**body)})
    write_model(tmp_path / "sessions" / "s-1" / "intake.json", known)
    said = Said(exports=("1",), card=None, verdict="")
    told = Told(sessions={"s-1": said})
    assert list(pending(wearers=KNOWN, told=told).sessions()) == sessions
    assert list(pending(found=("2",), told=told).sessions()) == ["s-1"]


def test_a_changed_setting_is_told_as_a_run_tells_it(pending):
    assert pending(settings=FOUR).recomputed() == (
        "tolerance.beats 5.0 is now 4.0: measure and session_page will be recomputed for 1 "
        "session.\n"
    )
