"""What an export can give away, in words and numbers that occur nowhere by chance.

All words begin alike and are equally long, and so do all serial numbers and positions. So a whole
folder is searched for them in one go, and each that is found says which export it comes from.
"""

from dataclasses import dataclass

STEM = "zqv"
_SYLLABLES = [consonant + vowel for consonant in "bdfgklmnprst" for vowel in "aeio"]
_KINDS = ("file name", "person", "device name", "e-mail address")
FILE_NAME = _KINDS[0]
MAKER = "Bramble"


@dataclass(frozen=True)
class Marks:
    """The marks of one export, the `number`th of the bench, that is told apart as `export`."""

    number: int
    export: str

    def words(self, kind: str) -> tuple[str, str]:
        """The two words of a name, such as `Zqvbabeth` and `Zqvbabith`."""
        first = 2 * (len(_KINDS) * self.number + _KINDS.index(kind))
        return _word(first), _word(first + 1)

    @property
    def kinds(self) -> tuple[str, ...]:
        return _KINDS

    @property
    def file_stem(self) -> str:
        return "_".join(self.words("file name"))

    @property
    def person(self) -> str:
        return " ".join(self.words("person"))

    @property
    def device_name(self) -> str:
        return " ".join(self.words("device name")) + "'s watch"

    @property
    def email(self) -> str:
        local, domain = self.words("e-mail address")
        return f"{local.lower()}@{domain.lower()}.example"

    @property
    def serial(self) -> int:
        return 3917504269 + 977 * self.number

    # South Pacific, where no heart rate reads alike. The digits from the fifth decimal on are
    # so that neither rounding nor single precision changes the first four.
    @property
    def latitude(self) -> float:
        return round(-57.368045 - self.number / 10_000, 6)

    @property
    def longitude(self) -> float:
        return round(-173.218045 - self.number / 10_000, 6)

    @property
    def degrees_and_minutes(self) -> str:
        return f"S {minutes(self.latitude)} W {minutes(self.longitude)}"


def semicircles(degrees: float) -> int:
    """The unit of positions in FIT: half a turn is 2³¹."""
    return round(degrees * 2**31 / 180)


def minutes(degrees: float) -> str:
    """Degrees and minutes without sign, such as `47 22.1230`."""
    whole, part = divmod(abs(degrees), 1)
    return f"{whole:.0f} {60 * part:07.4f}"


def _word(number: int) -> str:
    first, second = divmod(number, len(_SYLLABLES))
    return f"{STEM}{_SYLLABLES[first]}{_SYLLABLES[second]}th".capitalize()
