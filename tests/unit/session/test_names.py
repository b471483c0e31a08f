"""Every folder is a session or is named in a sentence, and keeps its name once it has results."""

import os
import shutil
import tempfile
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import intakes
from strapline.ground.files import sha256_of
from strapline.ground.settings import Settings
from strapline.ground.slugs import slug, slug_apart
from strapline.reading.inbox import names as names_module
from strapline.reading.inbox.discovery import read_inbox
from strapline.reading.inbox.names import Titled, named

EXPORT = "time,heart_rate\n2026-03-09T10:00:00Z,90\n2026-03-09T10:20:00Z,95\n"
GROUP = "2026-03-09-1000"

# Few words in many guises, so that they meet: capitals, composed and decomposed accents, dashes,
# what looks like a hash, names as long as a file system takes, and that of loose files.
WORDS = st.sampled_from(["a b", "é", "Übung 1", "run", GROUP, f"{GROUP}-2", "x" * 255, "心拍"])
GUISES = (
    str,
    str.upper,
    str.title,
    slug,
    slug_apart,
    lambda name: slug_apart(slug_apart(name)),
    lambda name: name.replace(" ", "-"),
    lambda name: name.replace("-", "–"),
    lambda name: f"{name}!",
    lambda name: unicodedata.normalize("NFD", name),
    lambda name: unicodedata.normalize("NFC", name),
)
NAMES = st.builds(lambda word, guise: guise(word), WORDS, st.sampled_from(GUISES)).filter(
    lambda name: len(os.fsencode(name)) <= 255
)
SETTINGS = settings(max_examples=60, deadline=None)


def results_of(results, name, title, files=()):
    """What is read of a session's results."""
    folder = results / "sessions" / name
    folder.mkdir(parents=True, exist_ok=True)
    held = [intakes.recording("r", file=path.name, sha256=sha256_of(path)) for path in files]
    intake = intakes.session(*held, name=name, title=title)
    (folder / "intake.json").write_text(intake.model_dump_json())


def read(inbox):
    return read_inbox(inbox, Settings(), inbox.parent / "results")


def add(inbox, name):
    (inbox / name).mkdir(parents=True)
    (inbox / name / "watch.csv").write_text(f"{EXPORT}{name}")


def accounted_for(inbox):
    """Each folder, and the loose files if there are any, is a session or in a sentence."""
    found = read(inbox)
    folders = [path.name for path in inbox.iterdir() if path.is_dir()]
    sessions = [s.title for s in found.sessions.values() if s.exports]
    told = [sentence for sentence in found.left_alone if "among the results" in sentence]
    loose = bool([path for path in inbox.iterdir() if path.is_file()])
    assert len(sessions) + len(told) == len(folders) + loose
    for title in folders:
        assert title in sessions or any(s.startswith(f"{title} waits: ") for s in told)
    return found


@SETTINGS
@given(st.sets(NAMES, max_size=7), st.booleans())
def test_every_folder_is_a_session_or_is_named(titles, loose):
    with tempfile.TemporaryDirectory() as folder:
        inbox = Path(folder, "inbox")
        inbox.mkdir()
        for title in titles:
            add(inbox, title)
        if loose:
            (inbox / "loose.csv").write_text(EXPORT)
        accounted_for(inbox)


@SETTINGS
@given(st.lists(NAMES, unique=True, max_size=7), st.integers(-1, 6), st.data())
def test_a_further_folder_takes_no_name_from_a_session_that_has_results(titles, loose_at, data):
    with tempfile.TemporaryDirectory() as folder:
        inbox, results = Path(folder, "inbox"), Path(folder, "results")
        inbox.mkdir()
        # Results as an earlier version gave names to what came out alike.
        for title in titles[:2]:
            if data.draw(st.booleans()):
                add(inbox, title)
                results_of(results, slug_apart(title), title, (inbox / title).iterdir())
        known = {}
        for place, title in enumerate(titles):
            if place == loose_at:
                (inbox / "loose.csv").write_text(EXPORT)
            if not (inbox / title).exists():
                add(inbox, title)
            sessions = accounted_for(inbox).sessions
            of = {min(session.exports): name for name, session in sessions.items()}
            assert known.items() <= of.items()
            for name, session in sessions.items():
                if min(session.exports) in known or data.draw(st.booleans()):
                    results_of(results, name, session.title, session.exports)
                    known[min(session.exports)] = name


def titles(inbox):
    return {name: session.title for name, session in read(inbox).sessions.items()}


def test_a_name_is_whose_results_say_so(tmp_path):
    inbox = tmp_path / "inbox"
    for title in ("A b", "a b"):
        add(inbox, title)
    apart = {slug_apart(title): title for title in ("A b", "a b")}
    assert titles(inbox) == apart
    results_of(tmp_path / "results", "a-b", "a b")
    assert titles(inbox) == {"a-b": "a b", slug_apart("A b"): "A b"}
    results_of(tmp_path / "results", slug_apart("A b"), "A b")
    # One that is called as the other is with its hash, and then that one alone.
    add(inbox, slug_apart("A b"))
    found = read(inbox)
    assert titles(inbox) == {"a-b": "a b", slug_apart("A b"): "A b"} | {
        slug_apart(slug_apart("A b")): slug_apart("A b")
    }
    assert found.left_alone == ()
    shutil.rmtree(inbox / "a b")
    assert titles(inbox)[slug_apart("A b")] == "A b"


@pytest.mark.parametrize("loose_has_results", [True, False])
def test_a_folder_and_loose_files_of_one_name_are_told_apart_by_their_files(
    tmp_path, loose_has_results
):
    inbox = tmp_path / "inbox"
    add(inbox, GROUP)
    (inbox / "loose.csv").write_text(EXPORT)
    own = [inbox / "loose.csv"] if loose_has_results else [inbox / GROUP / "watch.csv"]
    results_of(tmp_path / "results", GROUP, GROUP, own)
    found = accounted_for(inbox)
    assert [list(s.exports) for s in found.sessions.values()] == [own]


def test_results_are_opened_only_where_names_meet(tmp_path, monkeypatch):
    opened = []
    monkeypatch.setattr(names_module, "model_at", lambda path, _: opened.append(path))
    found = [Titled(f"s {n}", tmp_path) for n in range(50)]
    assert len(named(found, tmp_path)[0]) == 50
    assert opened == []
