"""What in an inbox is read, and what is said of the rest."""

import os
from pathlib import Path

import pytest

from strapline.ground.settings import Settings
from strapline.reading.inbox.discovery import read_inbox


@pytest.fixture
def inbox(tmp_path):
    (tmp_path / "inbox" / "good").mkdir(parents=True)
    (tmp_path / "inbox" / "good" / "strap.csv").write_text("time,heart_rate\n")
    (tmp_path / "private.csv").write_text("never to be read")
    (tmp_path / "elsewhere").mkdir()
    return tmp_path / "inbox"


def read(inbox):
    return read_inbox(inbox, Settings(), inbox.parent / "results")


def test_links_are_not_followed(inbox):
    (inbox / "good" / "watch.csv").symlink_to("../../private.csv")
    (inbox / "good" / "round").symlink_to("round")
    (inbox / "good" / "gone.csv").symlink_to("nowhere")
    (inbox / "loose.csv").symlink_to("../private.csv")
    (inbox / "folder").symlink_to("../elsewhere")
    found = read(inbox)
    assert set(found.sessions) == {"good"}
    assert [path.name for path in found.sessions["good"].exports] == ["strap.csv"]
    said = [sentence.split(" is a link and was not read")[0] for sentence in found.left_alone]
    assert said == ["folder", "loose.csv", "good: gone.csv", "good: round", "good: watch.csv"]
    assert "never to be read" not in "".join(found.left_alone)


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo, lambda card: card.symlink_to("../x")])
def test_a_session_waits_while_its_card_is_no_file(inbox, make):
    (inbox / "other").mkdir()
    (inbox / "other" / "strap.csv").write_text("time,heart_rate\n")
    make(inbox / "other" / "session.yaml")
    found = read(inbox)
    assert set(found.sessions) == {"good"}
    assert found.waiting == ()
    (sentence,) = found.left_alone
    assert sentence.startswith("other: session.yaml is ")
    assert sentence.endswith("Its session waits until then.")


def test_what_may_not_be_read_is_said(inbox, monkeypatch):
    """As told by the system; a test may run as a user who may read everything."""
    (inbox / "closed").mkdir()
    (inbox / "good" / "secret.csv").write_text("time,heart_rate\n")
    closed = {str(inbox / "closed"): os.R_OK | os.X_OK, str(inbox / "good/secret.csv"): os.R_OK}
    monkeypatch.setattr(os, "access", lambda path, mode: mode != closed.get(path))
    found = read(inbox)
    assert set(found.sessions) == {"good"}
    assert [path.name for path in found.sessions["good"].exports] == ["strap.csv"]
    assert found.left_alone == (
        "closed may not be read by you; give yourself the permission (chmod u+rX).",
        "good: secret.csv may not be read by you; give yourself the permission (chmod u+rX).",
    )
