"""A session that lies in the inbox twice counts once."""

from pathlib import Path

import pytest

from strapline.reading.inbox.discovery import Inbox, SessionFolder
from strapline.reading.inbox.raw_files import EMPTY, doubles


def inbox(**contents):
    """Sessions by name with the contents of their files, and those contents by path."""
    paths = {name: [Path(name, str(n)) for n in range(len(c))] for name, c in contents.items()}
    sessions = {name: SessionFolder(name, name, None, tuple(paths[name])) for name in contents}
    known = {
        path: content
        for name, found in contents.items()
        for path, content in zip(paths[name], found, strict=True)
    }
    return Inbox(sessions), known


@pytest.mark.parametrize(
    ("contents", "known", "found"),
    [
        ({"a": ["1", "2"], "b": ["2", "1"]}, (), {"b"}),
        ({"a": ["1", "2"], "b": ["2", "1"]}, ("b",), {"a"}),
        ({"a": ["1", "2"], "b": ["2", "1", "1"], "c": ["1", "2"]}, (), {"b", "c"}),
        # The strap's file may serve two sessions; of what cannot be read nothing is known.
        ({"a": ["1", "2"], "b": ["1", "3"], "c": ["1"]}, (), set()),
        ({"a": [], "b": [], "c": [""], "d": [""]}, (), set()),
        ({"a": [EMPTY], "b": [EMPTY, ""]}, (), set()),
    ],
)
def test_a_session_with_the_exports_of_another_does_not_count(contents, known, found):
    told = doubles(*inbox(**contents), known)
    assert told.keys() == found
    assert all("holds the same exports as" in sentence for sentence in told.values())
