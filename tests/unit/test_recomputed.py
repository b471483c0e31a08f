"""What is recomputed for another version of a library, another setting or other code, and why."""

import re
from importlib.metadata import requires

import pytest

from strapline.ground.settings import Settings
from strapline.ground.versions import BENEATH, COMPUTING, versions
from strapline.keeping import made_with, provenance
from strapline.keeping.provenance import fingerprint, libraries_of, sections_read, stages
from strapline.keeping.receipts import Receipt
from strapline.running import recomputed
from strapline.running.recomputed import ANOTHER_STRAPLINE, Recomputed

# The stages that know formats of exports.
READS_FIT = {"parse", "intake", "screen"}


@pytest.fixture
def pretended(monkeypatch):
    """Pretends that a library has another version."""

    def pretend(library, number):
        now = versions() | {library: number}
        for module in (made_with, provenance, recomputed):
            monkeypatch.setattr(module, "versions", lambda: now)

    return pretend


def fingerprints():
    return {stage: fingerprint(stage, Settings()) for stage in stages()}


@pytest.mark.parametrize("library", COMPUTING)
def test_a_version_is_part_of_the_method_of_the_stages_that_use_it(pretended, library):
    before = fingerprints()
    pretended(library, "0.0.1")
    changed = {stage for stage, now in fingerprints().items() if now != before[stage]}
    assert changed == {stage for stage in stages() if library in libraries_of(stage)}
    assert changed and (changed == READS_FIT or library != "fitdecode")


@pytest.mark.parametrize("other", ["python", "strapline", "vl-convert-python"])
def test_versions_of_what_computes_nothing_are_no_method(pretended, other):
    before = fingerprints()
    pretended(other, "0.0.1")
    assert fingerprints() == before


@pytest.mark.parametrize("library", COMPUTING)
def test_what_a_library_computes_with_is_what_it_says_it_requires(library):
    needed = [text for text in requires(library) or [] if "extra ==" not in text]
    names = {re.split(r"[^\w-]", text)[0] for text in needed}
    assert names & set(COMPUTING) == set(BENEATH.get(library, ()))


def receipt(stage, **others):
    then = versions() | others
    return Receipt(stage=stage, method="m", settings={}, inputs={}, outputs={}, versions=then)


def test_what_is_recomputed_is_said_by_library(pretended):
    pretended("scipy", "1.17.1")
    found = Recomputed(Settings())
    for session in ("first", "second"):
        found.note(receipt("consequences", scipy="1.17.0"), session)
        found.note(receipt("measure", scipy="1.17.0"), session)
    found.note(receipt("aggregate", scipy="1.17.0"), None)
    found.note(receipt("parse", fitdecode="0.10.0"), "first")
    found.note(receipt("parse", scipy="1.17.1"), "first")
    now = versions()["fitdecode"]
    assert found.told() == (
        "scipy 1.17.0 is now 1.17.1: measure and consequences will be recomputed for 2 sessions.\n"
        f"fitdecode 0.10.0 is now {now}: parse will be recomputed for 1 session.\n"
    )


def test_where_only_what_is_said_over_all_sessions_is_recomputed_that_is_named(pretended):
    pretended("scipy", "1.17.1")
    found = Recomputed(Settings())
    found.note(receipt("faults", scipy="1.17.0"), None)
    assert found.told() == "scipy 1.17.0 is now 1.17.1: faults will be recomputed.\n"


def made(stage, settings, method=None):
    """A receipt of a job of now, with these settings."""
    given = {n: s.model_dump(mode="json") for n, s in settings.only(sections_read(stage)).items()}
    own = method or fingerprint(stage, settings)
    return receipt(stage).model_copy(update={"method": own, "settings": given})


def test_another_setting_is_told_from_other_code():
    stricter = Settings(tolerance={"beats": 4})
    found = Recomputed(stricter)
    found.note(made("measure", Settings()), "first")
    found.note(made("measure", Settings()), "second")
    found.note(made("align", Settings(), "align:0123456789abcdef"), "first")
    assert found.told() == (
        "tolerance.beats 5.0 is now 4.0: measure will be recomputed for 2 sessions.\n"
        f"{ANOTHER_STRAPLINE}: align will be recomputed for 1 session.\n"
    )


def test_a_list_is_told_without_signs():
    found = Recomputed(Settings(headings={"heart_rate": ["Pulse", "Average"]}))
    found.note(made("parse", Settings()), "first")
    assert found.told().startswith(
        "headings.heart_rate (none) is now Pulse, Average: parse will be"
    )


def test_a_job_of_which_there_is_no_receipt_says_nothing():
    found = Recomputed(Settings())
    found.note(None, "first")
    found.note(made("align", Settings()), "first")
    assert found.told() == ""
