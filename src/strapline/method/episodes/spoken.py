"""Sentences as one says them: signs and units in words, and no more of them than a breath holds."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from strapline.ground.words import lasting, listed

# As many as one says in one breath.
MOST_WORDS = 25
# A list of more moments is for the eye.
MOST_MOMENTS = 3
MOMENT = re.compile(r"(?:(\d+):)?(\d+):(\d\d)")
# Sessions and wearers are for the ear, an interval or a p is not.
FIGURES = r"[^()]*\b(?:interval|p)\b[^()]*"
RESTS_ON = re.compile(
    rf" \((?:{FIGURES}; )?(\d+ sessions|one session), ([^;()]*wearers?)\)| \({FIGURES}\)"
)
SPOKEN = (
    (r" \(([^)]*)\)(?=[.;,:])", r", \1"),
    (r" \(([^)]*)\)", r", \1,"),
    (r"\bbpm\b", "beats a minute"),
    (r"\bmin\b", "minutes"),
    (r"(\d) s\b", r"\1 seconds"),
    (r"(\d) h\b", r"\1 hours"),
    (r"(\d)\.0\b", r"\1"),
    (r"(?<![\d.])1 (minute|second|hour)s\b", r"1 \1"),
    (r"(?<![\d.])1 beats\b", "1 beat"),
    (r" %", " percent"),
    (r"−", "minus "),
    (r"\+(?=\d)", "plus "),
)
# Where a sentence may end for another to begin, and how that begins.
ENDS = ((", then ", "Then it "), ("; ", ""), (", up to ", "It was up to "))
ASIDE = re.compile(r" \([^)]*\)")
# What goes before this is not within brackets.
OUTSIDE = r"(?![^()]*\))"


def spoken(text: str) -> str:
    """`text` with its signs and units as one says them."""
    text = MOMENT.sub(_moment, text)
    for pattern, words in SPOKEN:
        text = re.sub(pattern, words, text)
    return text


def in_breaths(sentence: str) -> str:
    """The same without intervals and p, in sentences of at most `MOST_WORDS` words where it can be
    parted, and without what stands in brackets where not."""
    sentence = RESTS_ON.sub(
        lambda found: f", in {found[1]} of {found[2]}" if found[1] else "", sentence
    )
    said = spoken(sentence)
    if fits(said):
        return said
    for end, start in ENDS:
        first, *rest = re.split(re.escape(end) + OUTSIDE, sentence, maxsplit=1)
        if rest:
            then = f"{start}{rest[0]}"
            parts = f"{first.rstrip(',')}.", f"{then[:1].upper()}{then[1:]}"
            return " ".join(map(in_breaths, parts))
    return spoken(ASIDE.sub("", sentence))


def is_for_the_eye(sentence: str) -> bool:
    return len(MOMENT.findall(sentence)) > MOST_MOMENTS


def fits(text: str) -> bool:
    return len(text.split()) <= MOST_WORDS


def _moment(clock_time: re.Match[str]) -> str:
    hours, minutes, seconds = (int(part or 0) for part in clock_time.groups())
    since = 3600 * hours + 60 * minutes + seconds
    return lasting(since) if since else "the start"


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
