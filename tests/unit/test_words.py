"""Numbers, times and counts as a reader meets them."""

import pytest

from strapline.ground.words import (
    clock,
    counted,
    in_figures,
    lasting,
    number,
    share,
    things,
    worn_by,
)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (clock(80), "1:20"),
        (clock(3725), "1:02:05"),
        (lasting(370), "6 min 10 s"),
        (lasting(45), "45 s"),
        (lasting(3900), "1 h 5 min"),
        (lasting(0), "0 s"),
        (number(-21.6, plus=True, decimals=0), "−22"),
        (number(0.2, plus=True, decimals=0), "0"),
        (share(0.004), "0.4 %"),
        (share(0.5), "50 %"),
        (share(0.0), "0 %"),
        (counted(1, "session"), "one session"),
        (counted(2, "session"), "2 sessions"),
        (in_figures(1, "session"), "1 session"),
        (in_figures(0, "session"), "0 sessions"),
        (things(1.0, "minute"), "minute"),
    ],
)
def test_words_for_numbers(text, expected):
    assert text == expected


def test_sessions_that_name_no_wearer_are_not_one_wearer():
    assert worn_by(3) == "3 wearers"
    assert worn_by(0, 92) == worn_by(0) == "unknown wearer"
    assert worn_by(1, 89) == "one named wearer, and 89 sessions without a named wearer"
