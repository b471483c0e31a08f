"""Gather published: what is said of some sessions -> one file, as editions keep it."""

from strapline.ground.records.described import read_intakes
from strapline.ground.tables.sessions import CONSEQUENCES, SENTENCES, STATED, WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.keeping.editions.of_sessions import of_sessions
from strapline.keeping.editions.published import write_published


def run(
    *,
    described: str,
    part_whole: str,
    part_stated: str,
    part_sentences: str,
    part_consequences: str,
    part_published: str,
) -> None:
    published = of_sessions(
        WHOLE_SESSIONS.read(part_whole, scope=[Scope.WHOLE]),
        SENTENCES.read(part_sentences),
        CONSEQUENCES.read(part_consequences),
        {i.session: i.correction for i in read_intakes([described]) if i.correction},
        STATED.read(part_stated),
    )
    write_published(published, part_published)
