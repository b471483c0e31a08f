"""What is kept of source files between processes changes nothing but the time."""

import pytest

from strapline.keeping import sources
from strapline.keeping.sources import Sources

CODE = "import strapline.ground.zones\ndef double(x):\n    return 2 * x\n"

NESTED = """
class One:
    def of(self):
        try:
            import a
        except ValueError:
            import b
        else:
            import c
        finally:
            import d
        for _ in ():
            import e
        else:
            with open(""):
                import f
        match self:
            case One():
                import g
        if self:
            pass
        elif not self:
            import h
        else:
            import i
"""


@pytest.fixture
def module(tmp_path):
    path = tmp_path / "module.py"
    path.write_text(CODE)
    return path


def test_kept_sources_are_taken_for_the_same_content_only(module, tmp_path):
    kept = tmp_path / "results" / "code.json"
    first = Sources(kept)
    before = first.of(module)
    first.keep()
    text = kept.read_text()
    kept.write_text(text.replace(before.meaning, "kept"))
    assert Sources(kept).of(module).meaning == "kept"
    module.write_text(CODE.replace("2", "3"))
    assert Sources(kept).of(module).meaning not in ("kept", before.meaning)


@pytest.mark.parametrize("content", ["", "[1]", '{"a": 1}'])
def test_what_is_no_note_is_read_anew(module, tmp_path, content):
    kept = tmp_path / "code.json"
    kept.write_text(content)
    assert Sources(kept).of(module) == Sources().of(module)


def test_only_what_was_used_is_kept(module, tmp_path):
    kept = tmp_path / "code.json"
    for text in (CODE, CODE.replace("2", "3")):
        module.write_text(text)
        sources = Sources(kept)
        sources.of(module)
        sources.keep()
    assert kept.read_text().count("meaning") == 1
    assert Sources().of(module).imports == ("strapline.ground.zones",)


def test_what_another_reader_kept_is_read_anew(module, tmp_path, monkeypatch):
    kept = tmp_path / "code.json"
    first = Sources(kept)
    meaning = first.of(module).meaning
    first.keep()
    kept.write_text(kept.read_text().replace(meaning, "kept"))
    monkeypatch.setattr(sources, "READER", b"another")
    assert Sources(kept).of(module).meaning == meaning


def test_an_import_counts_wherever_it_stands(module):
    module.write_text(NESTED)
    assert Sources().of(module).imports == tuple("abcdefghi")
