"""Sentences that can be said in one breath."""

from collections.abc import Iterator, Sequence

from strapline.ground.words import listed

MOST_WORDS = 25


def fits(sentence: str) -> bool:
    return len(sentence.split()) <= MOST_WORDS


def in_sentences(start: str, parts: Sequence[str], then: str) -> Iterator[str]:
    """'It read low at 1:10 for 20 s and at 3:05 for 40 s.', in as many as are needed; all but the
    first begin with `then`."""
    said: list[str] = []
    for part in parts:
        if said and not fits(f"{start} {listed([*said, part])}."):
            yield f"{start} {listed(said)}."
            said, start = [], then
        said.append(part)
    if said:
        yield f"{start} {listed(said)}."
