"""How FIT tells the time where a message carries no full timestamp.

All times are seconds since the FIT epoch, 1989-12-31 00:00 UTC.
"""

from collections.abc import Sequence

# Heart-rate messages count time in ticks of 1/1024 s, record headers the rest in 1/32768 s.
_TICKS_PER_S = 1024
_FRACTIONS_PER_S = 32768


class RecordedBeats:
    """Times of RR intervals, which FIT stores between records without a time of their own.

    The first interval is taken to start at the record before it, the next where the last one
    ended. Intervals reach the file up to a second or two late, so the sum is trusted over the
    record times as long as both agree within `TOLERANCE_S`. Beyond that beats are missing (or
    were invented), and the next interval is again taken to start at the record before it.
    """

    TOLERANCE_S = 3.0

    def __init__(self) -> None:
        self.restarts = 0
        self._record: float | None = None
        self._end: float | None = None

    def pass_record(self, time: float) -> None:
        self._record = time

    def end_of(self, rr_ms: float) -> float | None:
        """End of the next interval; None before the first record."""
        if self._record is not None:
            self._compare(self._record)
            self._record = None
        if self._end is not None:
            self._end += rr_ms / 1000
        return self._end

    def _compare(self, record: float) -> None:
        if self._end is None:
            self._end = record
        elif abs(self._end - record) > self.TOLERANCE_S:
            self._end = record
            self.restarts += 1


class TickingBeats:
    """Times of heart-rate messages: ticks since some start that one message ties to the time.

    Later messages give the last 12 bits of the ticks only, which roll over every 4 s.
    """

    def __init__(self) -> None:
        self._tied: tuple[float, int] | None = None
        self._ticks = 0

    def tie(self, timestamp: int, fraction: int, ticks: int) -> None:
        self._tied = (timestamp + fraction / _FRACTIONS_PER_S, ticks)

    def time_of(self, ticks: int) -> float | None:
        """None before the ticks are tied to the time."""
        self._ticks = ticks
        if self._tied is None:
            return None
        time, at_tie = self._tied
        return time + (ticks - at_tie) / _TICKS_PER_S

    def time_of_last_bits(self, bits: int) -> float | None:
        return self.time_of(rolled_on(self._ticks, bits, 12))


def rolled_on(last: int, low_bits: int, width: int) -> int:
    """The first number from `last` on whose lowest `width` bits are `low_bits`."""
    return last + ((low_bits - last) & ((1 << width) - 1))


def unpacked_12_bits(packed: Sequence[int | None]) -> list[int]:
    """Two numbers of 12 bits from each three bytes, lowest bits first."""
    # Declared as numbers instead of bytes, a byte of 255 reads as invalid.
    octets = [255 if octet is None else octet for octet in packed]
    numbers = []
    for low, middle, high in zip(octets[::3], octets[1::3], octets[2::3], strict=False):
        numbers += [low | (middle & 0x0F) << 8, middle >> 4 | high << 4]
    return numbers
