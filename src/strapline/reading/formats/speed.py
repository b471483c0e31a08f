"""Speed, from how far a file says one went or from where it says one was."""

from dataclasses import dataclass

import numpy as np

from strapline.reading.formats.columns import Reals

EARTH_RADIUS_M = 6_371_009.0


@dataclass(frozen=True)
class Way:
    """How far one had gone at each point, where one was, in degrees, and the speed that is stated:
    shapes (n,), NaN where a file does not say. Positions go no further than here."""

    distance_m: Reals
    latitude: Reals
    longitude: Reals
    stated_m_s: Reals

    def speed_m_s(self, times_s: Reals) -> Reals:
        """By the distance, or else by the positions; as stated where there are neither, for a
        stated speed is often a mean over the last seconds."""
        if not np.isnan(self.distance_m).all():
            return speed_m_s(times_s, self.distance_m)
        if not np.isnan(self.latitude).all():
            return speed_m_s(times_s, path_m(self.latitude, self.longitude))
        return self.stated_m_s

    def moves(self) -> bool:
        """Whether the positions are of a device that was under way: one fixed place tells no
        clock."""
        places = (self.latitude, self.longitude)
        return any(np.unique(place[np.isfinite(place)]).size > 1 for place in places)


def speed_m_s(times_s: Reals, distance_m: Reals) -> Reals:
    """The slope of the distance at each time, in m/s; shapes (n,).

    NaN where time or distance is missing, or either goes back: a distance that starts again is no
    speed. The slope weighs the neighbours on both sides, so that it is no later than the distance.
    """
    speed = np.full(times_s.shape, np.nan)
    known = np.flatnonzero(np.isfinite(times_s) & np.isfinite(distance_m))
    latest = np.maximum.accumulate(times_s[known])
    known = known[np.diff(latest, prepend=-np.inf) > 0]
    if known.size < 2:
        return speed
    slope = np.gradient(distance_m[known], times_s[known])
    speed[known] = np.where(slope >= 0, slope, np.nan)
    return speed


def path_m(latitude: Reals, longitude: Reals) -> Reals:
    """The length of the way up to each position, in degrees, as on a sphere (haversine formula,
    common practice, no source); NaN where there is none."""
    path = np.full(latitude.shape, np.nan)
    known = np.flatnonzero(np.isfinite(latitude) & np.isfinite(longitude))
    north, east = np.radians(latitude[known]), np.radians(longitude[known])
    half = (
        np.sin(np.diff(north) / 2) ** 2
        + np.cos(north[1:]) * np.cos(north[:-1]) * np.sin(np.diff(east) / 2) ** 2
    )
    steps = 2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.clip(half, 0, 1)))
    path[known] = np.concatenate([[0.0], np.cumsum(steps)])[: known.size]
    return path
