"""The sport that a FIT file states."""

from strapline.reading.formats.fit_messages import Message

_SPORT, _SESSION = 12, 18
# The field that names the sport, by message, as numbered in the FIT profile.
_FIELD = {_SPORT: 0, _SESSION: 5}
SPORT_FIELDS = {message: frozenset({field}) for message, field in _FIELD.items()}


def sport_of(message: Message) -> str | None:
    """The sport by the profile's word, from a message under SPORT_FIELDS."""
    return message.names.get(_FIELD[message.number])
