"""What a FIT file says of the device that wrote it, and of sensors it was connected to."""

from typing import Any

from strapline.reading.formats.fit_messages import Message

_FILE_ID, _DEVICE_INFO, _FILE_CREATOR = 0, 23, 49

# The fields to read, by their numbers in the FIT profile.
DEVICE_FIELDS = {
    _FILE_ID: frozenset({1, 2, 3, 8}),
    _DEVICE_INFO: frozenset({0, 1, 2, 3, 4, 5, 25, 27}),
    _FILE_CREATOR: frozenset({0}),
}

_WRITER_OF_THE_FILE = 0
# The maker's number for what has none: a device in development.
_NO_MAKER = 255
# Types of heart-rate sensors, by the source they are listed under; files of old state none.
_HEART_RATE_SENSORS: dict[tuple[Any, Any], str] = {
    (None, 120): "over ANT+",
    (1, 120): "over ANT+",
    (0, 120): "over ANT",
    (3, 1): "over Bluetooth",
    (2, 1): "over Bluetooth",
}


class FitDevice:
    """Facts of the device, the first that is stated of each.

    maker, product
        As the file has them, in its own words where it has some.
    listed
        Maker and product by the words, or else the numbers, of the FIT profile.
    serial
        To tell units apart in memory; never to be kept.
    """

    def __init__(self) -> None:
        self.maker: str | None = None
        self.product: str | None = None
        self.listed: str | None = None
        self.serial: str | None = None
        self.firmware: str | None = None
        self.external_sensor: str | None = None

    def take(self, message: Message) -> None:
        names, values = message.names, message.values
        if message.number == _FILE_ID:
            self._name(message, own_words=8, product=2, maker=1)
        elif message.number == _FILE_CREATOR:
            self.firmware = self.firmware or (names.get(0) if values.get(0) else None)
        elif values.get(0) == _WRITER_OF_THE_FILE:
            self._name(message, own_words=27, product=4, maker=2)
            # More exact than what the file's creator says of itself.
            self.firmware = _version(values.get(5)) or self.firmware
        else:
            way = _HEART_RATE_SENSORS.get((values.get(25), values.get(1)))
            if way is not None:
                self.external_sensor = f"a heart-rate sensor connected {way}"

    def _name(self, message: Message, own_words: int, product: int, maker: int) -> None:
        names = message.names
        self.maker = self.maker or names.get(maker)
        self.product = self.product or names.get(own_words) or names.get(product)
        self.serial = self.serial or names.get(3)
        if message.values.get(maker) not in (None, _NO_MAKER) and names.get(product):
            self.listed = self.listed or f"{names[maker]} {names[product]}"


def _version(hundredths: Any) -> str | None:
    return f"{hundredths / 100:.2f}" if isinstance(hundredths, int) else None
