"""Words of ours that stand in columns beside words from cards, exports and the register.

Each of ours has a space, and none of those ever has: a card's are held to `documents.Word`, a
file's are turned into that by `slug`. So whatever a card says, nothing takes the one for the other.
"""

# Wearer or activity of a session where neither the card nor a file says.
UNSTATED = "not stated"
# Where a figure is over every activity.
ALL_ACTIVITIES = "all activities"
# Where it is over every kind of episode.
ANY_KIND = "any kind"
# Where a device sat, beside the conditions that cards name.
PLACEMENT = "placement on the body"

# The second, where a picture has no room for it.
ALL = "all"

OURS = frozenset({UNSTATED, ALL_ACTIVITIES, ANY_KIND, PLACEMENT})

# How the clocks were taken.
VIEWS = {"as_recorded": "as recorded", "aligned": "aligned"}


def root(word: str) -> str:
    """What random numbers go by: the whole of another's word, and of ours the first part, so that
    figures stay where our wording moves."""
    return word.partition(" ")[0]
