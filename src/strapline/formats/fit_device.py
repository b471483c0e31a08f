"""What a FIT file says of the device that wrote it, and of sensors it was connected to."""

import hashlib
from typing import Any

from strapline.formats.fit_messages import Message

_FILE_ID, _DEVICE_INFO, _FILE_CREATOR = 0, 23, 49

# The fields to read, by their numbers in the FIT profile.
DEVICE_FIELDS = {
    _FILE_ID: frozenset({1, 2, 3, 8}),
    _DEVICE_INFO: frozenset({0, 1, 2, 3, 4, 5, 25, 27}),
    _FILE_CREATOR: frozenset({0}),
}

_WRITER_OF_THE_FILE = 0
# Types of heart-rate sensors, by the source they are listed under; files of old state none.
_HEART_RATE_SENSORS: dict[tuple[Any, Any], str] = {
    (None, 120): "over ANT+",
    (1, 120): "over ANT+",
    (0, 120): "over ANT",
    (3, 1): "over Bluetooth",
    (2, 1): "over Bluetooth",
}


class FitDevice:
    """Facts of the device, the first that is stated of each."""

    def __init__(self) -> None:
        self.maker: str | None = None
        self.product: str | None = None
        self.firmware: str | None = None
        self.external_sensor: str | None = None
        self._serial: str | None = None

    def take(self, message: Message) -> None:
        names, values = message.names, message.values
        if message.number == _FILE_ID:
            self._name(names.get(1), names.get(8) or names.get(2), names.get(3))
        elif message.number == _FILE_CREATOR:
            self.firmware = self.firmware or (names.get(0) if values.get(0) else None)
        elif values.get(0) == _WRITER_OF_THE_FILE:
            self._name(names.get(2), names.get(27) or names.get(4), names.get(3))
            # More exact than what the file's creator says of itself.
            self.firmware = _version(values.get(5)) or self.firmware
        else:
            way = _HEART_RATE_SENSORS.get((values.get(25), values.get(1)))
            if way is not None:
                self.external_sensor = f"a heart-rate sensor connected {way}"

    def hashed_serial(self) -> str | None:
        if self._serial is None:
            return None
        text = f"{self.maker or ''}:{self._serial}"
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    def _name(self, maker: str | None, product: str | None, serial: str | None) -> None:
        self.maker = self.maker or maker
        self.product = self.product or product
        self._serial = self._serial or serial


def _version(hundredths: Any) -> str | None:
    return f"{hundredths / 100:.2f}" if isinstance(hundredths, int) else None
