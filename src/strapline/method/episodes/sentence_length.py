"""Sentences that can be said in one breath."""

from collections.abc import Iterator, Sequence

from strapline.ground.words import listed
from strapline.method.episodes.spoken import fits, is_for_the_eye, spoken


def in_sentences(start: str, parts: Sequence[str], then: str) -> Iterator[str]:
    """'It read low at 1:10 for 20 s and at 3:05 for 40 s.', in as many as are needed, to the eye
    and to the ear; all but the first begin with `then`."""
    said: list[str] = []
    for part in parts:
        if said and not _fits_both(f"{start} {listed([*said, part])}."):
            yield f"{start} {listed(said)}."
            said, start = [], then
        said.append(part)
    if said:
        yield f"{start} {listed(said)}."


def _fits_both(sentence: str) -> bool:
    return fits(sentence) and (is_for_the_eye(sentence) or fits(spoken(sentence)))
