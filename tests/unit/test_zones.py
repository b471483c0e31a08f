import datetime as dt

import pytest
from pydantic import TypeAdapter, ValidationError

from strapline.ground.zones import Zone, fixed_zone, in_utc


@pytest.mark.parametrize(
    ("zone", "summer", "winter"),
    [("Europe/Lisbon", 11, 12), ("UTC+05:30", 6.5, 6.5), ("UTC-03:00", 15, 15), ("UTC", 12, 12)],
)
def test_noon_in_utc(zone, summer, winter):
    for month, hour in ((7, summer), (1, winter)):
        moment = in_utc(dt.datetime(2026, month, 1, 12), zone)
        assert moment.utcoffset() == dt.timedelta(0)
        assert moment.hour + moment.minute / 60 == hour


def test_an_hour_that_occurs_twice_is_the_first():
    # Berlin, 25 October 2026: 03:00 summer time (01:00 UTC) becomes 02:00.
    assert in_utc(dt.datetime(2026, 10, 25, 2, 30), "Europe/Berlin").hour == 0


@pytest.mark.parametrize("year", [dt.datetime.min, dt.datetime.max])
def test_the_ends_of_the_calendar_break_nothing(year):
    for zone in ("UTC+14:00", "UTC-12:00", "Europe/Berlin"):
        assert in_utc(year, zone).year == year.year


@pytest.mark.parametrize("offset_s", [0, 20_700, -12_600, 86_340])
def test_an_offset_is_a_zone(offset_s):
    zone = TypeAdapter(Zone).validate_python(fixed_zone(offset_s))
    noon = dt.datetime(2026, 7, 1, 12, tzinfo=dt.UTC)
    assert (noon - in_utc(noon, zone)).total_seconds() == offset_s


@pytest.mark.parametrize("name", ["Lisbon", "UTC+2", "UTC+24:00", "+02:00", "UTC+02:60", ""])
def test_what_is_no_zone(name):
    with pytest.raises(ValidationError, match="must be an IANA time zone"):
        TypeAdapter(Zone).validate_python(name)
