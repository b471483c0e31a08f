"""What a FIT file says of the device that wrote it, of sensors it was connected to, and of the
sport."""

from dataclasses import dataclass
from typing import Any

from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.fit_messages import Message

_FILE_ID, _DEVICE_INFO, _FILE_CREATOR = 0, 23, 49
# The messages that name the sport, and the field of each that does.
_SPORT_IN = {12: 0, 18: 5}

# The fields to read, by their numbers in the FIT profile.
DEVICE_FIELDS = {
    _FILE_ID: frozenset({1, 2, 3, 8}),
    _DEVICE_INFO: frozenset({0, 1, 2, 3, 4, 5, 25, 27}),
    _FILE_CREATOR: frozenset({0}),
    **{message: frozenset({field}) for message, field in _SPORT_IN.items()},
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
# Sensors of the device's own: this source, and this type of the ones on the wrist.
_LOCAL, _WRIST_SENSOR = 5, 10


@dataclass(frozen=True)
class Sensor:
    """A heart-rate sensor that records name by its index."""

    told: str
    kind: SensorKind | None


class FitDevice:
    """Facts of the device, the first that is stated of each.

    maker, product
        As the file has them, in its own words where it has some.
    listed
        Maker and product by the words of the FIT profile.
    unlisted
        The numbers of a maker and of a product that the profile has no word for.
    serial
        To tell units apart in memory; never to be kept.
    sensors
        The heart-rate sensors, by their index.
    sports
        All that are stated, by the profile's words.
    """

    def __init__(self) -> None:
        self.maker: str | None = None
        self.product: str | None = None
        self.listed: str | None = None
        self.unlisted: tuple[int, int] | None = None
        self.serial: str | None = None
        self.firmware: str | None = None
        self.external_sensor: str | None = None
        self.sensors: dict[int, Sensor] = {}
        self.sports: list[str] = []

    def take(self, message: Message) -> None:
        names, values = message.names, message.values
        if message.number == _FILE_ID:
            self._name(message, own_words=8, product=2, maker=1)
        elif message.number in _SPORT_IN:
            sport = names.get(_SPORT_IN[message.number])
            self.sports += [sport] if sport else []
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
                self._sense(values.get(0), Sensor(self.external_sensor, None))
            elif values.get(25) == _LOCAL and values.get(1) == _WRIST_SENSOR:
                self._sense(
                    values.get(0), Sensor("the device's own sensor on the wrist", SensorKind.WRIST)
                )

    def _sense(self, index: Any, sensor: Sensor) -> None:
        if isinstance(index, int):
            self.sensors.setdefault(index, sensor)

    def _name(self, message: Message, own_words: int, product: int, maker: int) -> None:
        names = message.names
        self.maker = self.maker or names.get(maker)
        self.product = self.product or names.get(own_words) or names.get(product)
        self.serial = self.serial or names.get(3)
        numbers = message.values.get(maker), message.values.get(product)
        if numbers[0] in (None, _NO_MAKER) or not names.get(product):
            return
        if names[product] != str(numbers[1]):
            self.listed = self.listed or f"{names[maker]} {names[product]}"
        elif isinstance(numbers[0], int) and isinstance(numbers[1], int):
            self.unlisted = self.unlisted or (numbers[0], numbers[1])


def _version(hundredths: Any) -> str | None:
    return f"{hundredths / 100:.2f}" if isinstance(hundredths, int) else None
