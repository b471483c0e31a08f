"""Fingerprints on a small package of our own making, so that edits can be tried."""

import shutil
import textwrap

import pytest

from strapline.ground.settings import Settings, Tolerance
from strapline.keeping import provenance
from strapline.keeping.provenance import (
    STAGES,
    canonical,
    code_of,
    fingerprint,
    sections_read,
    stages,
)

FILES = {
    "__init__.py": "",
    "running/__init__.py": "",
    "running/stages/__init__.py": "",
    "running/stages/first.py": """
        from __future__ import annotations
        from typing import TYPE_CHECKING
        from strapline.rules.formula import double
        if TYPE_CHECKING:
            from strapline.ground.settings import Tolerance

        def run(*, source: str, tolerance: Tolerance) -> None:
            double(tolerance.beats)
    """,
    "running/stages/second.py": "def run(*, source, presentation): pass\n",
    "rules/__init__.py": "",
    "rules/words.yaml": "hello: 1\n",
    "rules/formula.py": """
        def double(x):
            return 2 * x
    """,
    "ground/__init__.py": "",
    "ground/settings.py": "",
}

# What computes from a session's files and, over sessions, from its figures.
COMPUTING = (
    "parse", "screen", "intake", "normalise", "align", "measure", "episodes", "consequences",
    "gather_sessions", "gather_figures", "gather_episodes", "aggregate", "faults",
)  # fmt: skip


def read_again():
    cached = ("sections_read", "code_of", "_imported", "_source", "_content")
    for name in cached:
        getattr(provenance, name).cache_clear()


@pytest.fixture
def package(tmp_path, monkeypatch):
    monkeypatch.setattr(provenance, "ROOT", tmp_path)
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(textwrap.dedent(text))
    return tmp_path


def both(settings=None):
    settings = settings or Settings()
    read_again()
    return fingerprint("first", settings), fingerprint("second", settings)


def test_a_step_reads_the_settings_its_signature_names(package):
    both()
    assert sections_read("first") == ("tolerance",)
    assert sections_read("second") == ("presentation",)


def test_a_step_is_a_module_that_runs(package):
    (package / "running/stages/shared.py").write_text("def walk(): pass\n")
    both()
    assert stages() == ("first", "second")


def test_comment_and_docstring_change_nothing(package):
    before = both()
    (package / "rules/formula.py").write_text(
        'def double(x):\n  "Doubles."\n  return 2 * x  # so\n'
    )
    (package / "ground/settings.py").write_text("ONLY_FOR_TYPES = 1\n")
    assert both() == before


def test_a_formula_changes_only_the_step_that_uses_it(package):
    before = both()
    (package / "rules/formula.py").write_text("def double(x):\n    return 2 * x + 0\n")
    after = both()
    assert after[0] != before[0]
    assert after[1] == before[1]


def test_data_beside_a_module_counts(package):
    before = both()
    (package / "rules/words.yaml").write_text("hello: 2\n")
    after = both()
    assert after[0] != before[0]
    assert after[1] == before[1]


def test_a_setting_changes_only_the_steps_that_name_it(package):
    before = both()
    after = both(Settings(tolerance=Tolerance(beats=3)))
    assert after[0] != before[0]
    assert after[1] == before[1]


def test_canonical_does_not_depend_on_order():
    assert (
        canonical({"b": [1], "a": "ü"})
        == canonical({"a": "ü", "b": [1]})
        == '{"a":"\\u00fc","b":[1]}'
    )


def test_a_new_setting_is_no_other_method_of_what_computes(tmp_path, monkeypatch):
    """Or years of sessions would be computed again for it."""
    copy = tmp_path / "strapline"
    shutil.copytree(provenance.ROOT, copy, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(provenance, "ROOT", copy)

    def code():
        read_again()
        return {stage: code_of(f"{STAGES}.{stage}") for stage in COMPUTING}

    before, settings = code(), copy / "ground" / "settings.py"
    settings.write_text(settings.read_text() + "\n\nclass Another(Strict):\n    beats: Error = 5\n")
    after = code()
    read_again()
    assert after == before
