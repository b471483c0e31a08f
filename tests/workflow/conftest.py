"""The demo's archive, whole or cut down to one session, to be broken at will; and a project in
which all is up to date."""

import pytest
from breakable import SESSION, Archive, linked
from project import Project

from strapline.keeping.receipts import Places


@pytest.fixture
def whole_archive(demo, tmp_path, repository):
    folder, _ = demo
    linked(folder / "results" / "demo", tmp_path / "results")
    places = Places(tmp_path / "results", tmp_path / "results" / "inbox")
    return Archive(places, repository / "config" / "demo" / "settings.yaml")


@pytest.fixture
def archive(demo, tmp_path, repository):
    """One session of it, without what all sessions share."""
    source = demo[0] / "results" / "demo"
    places = Places(tmp_path / "results", tmp_path / "inbox")
    linked(source / "inbox" / SESSION, places.inbox / SESSION)
    for part in (
        f"sessions/{SESSION}",
        f"receipts/sessions/{SESSION}",
        f"receipts/report/sessions/{SESSION}.html.json",
        f"report/sessions/{SESSION}.html",
        f"report/sessions/{SESSION}.origin.html",
        f"report/sessions/{SESSION}.figures.json",
        f"report/sessions/{SESSION}.seconds.js",
    ):
        linked(source / part, places.results / part)
    return Archive(places, repository / "config" / "demo" / "settings.yaml")


@pytest.fixture(scope="module")
def built(made_once, with_looks, tmp_path_factory, repository):
    """A copy of the project after a run over two sessions."""

    def fill(folder):
        project = Project(with_looks(folder), repository)
        for name in ("first", "second"):
            project.add_session(name)
        project.snakemake()

    return Project(made_once("built", fill)).copy(tmp_path_factory.mktemp("project") / "built")
