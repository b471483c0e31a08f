"""The device register: which devices the bench has, and how their exports are recognised."""

import datetime as dt
import fnmatch
from collections.abc import Collection
from typing import Annotated, Any

from pydantic import Field, model_validator

from strapline.ground.documents import Strict
from strapline.ground.mistakes import CURRENCY_PATTERN, NAME_PATTERN
from strapline.ground.vocabulary import SensorKind, TimeSource

DeviceId = Annotated[str, Field(pattern=NAME_PATTERN, max_length=40)]
Label = Annotated[str, Field(min_length=1, max_length=40)]

# What no session is made from.
ON_THE_MARKET = frozenset({"form", "price", "own_class"})
REFERENCE_KINDS = (SensorKind.ELECTROCARDIOGRAM, SensorKind.CHEST_STRAP)


class Recognition(Strict):
    """A file is recognised when all that is given here fits; `*` and `?` are wildcards."""

    file_name: str | None = None
    maker: str | None = None
    product: str | None = None

    def fits(self, file_name: str, maker: str | None, product: str | None) -> bool:
        found = {"file_name": file_name, "maker": maker, "product": product}
        wanted = self.model_dump(exclude_none=True)
        return bool(wanted) and all(_like(found[key], wanted[key]) for key in wanted)


class Price(Strict):
    """What a device cost when; `currency` by its three letters in ISO 4217."""

    amount: Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]
    currency: Annotated[str, Field(pattern=CURRENCY_PATTERN)]
    date: dt.date


class Device(Strict):
    """`form`, `price` and the tester's own class of devices say nothing of its files."""

    label: Label
    kind: SensorKind = SensorKind.WRIST
    recognise: tuple[Recognition, ...] = ()
    time_from: Annotated[
        TimeSource | None, Field(description="what sets its clock; moves none by itself")
    ] = None
    form: Annotated[Label | None, Field(description="'watch', 'band', 'ring', …")] = None
    price: Price | None = None
    own_class: Annotated[
        Label | None, Field(alias="class", description="devices it is read among, in own words")
    ] = None


class Register(Strict):
    """`devices.yaml`: one entry a device, under the short name that session cards use."""

    devices: dict[DeviceId, Device] = Field(default={})

    @model_validator(mode="after")
    def _told_apart(self) -> "Register":
        named: dict[str, str] = {}
        for name, device in self.devices.items():
            other = named.setdefault(" ".join(device.label.casefold().split()), name)
            if other != name:
                raise ValueError(f"must give {other} and {name} labels that can be told apart")
        return self

    def of_files(self) -> dict[str, Any]:
        """What sessions are made from, as JSON has it."""
        return self.model_dump(mode="json", exclude={"devices": {"__all__": set(ON_THE_MARKET)}})

    def on_the_market(self) -> dict[str, Any]:
        """By device, what is said of it beside that, as JSON has it; what is silent is left out."""
        kept = {"devices": {"__all__": set(ON_THE_MARKET)}}
        said = self.model_dump(mode="json", include=kept, exclude_none=True)
        return {name: own for name, own in said.get("devices", {}).items() if own}

    def recognised(self, file_name: str, maker: str | None, product: str | None) -> str | None:
        """The one device whose rules fit, or None where none or several do."""
        fitting = [
            name
            for name, device in self.devices.items()
            if any(rule.fits(file_name, maker, product) for rule in device.recognise)
        ]
        return fitting[0] if len(fitting) == 1 else None

    @property
    def tested(self) -> list[str]:
        """Devices that are no reference, in the order of the register."""
        return [n for n, d in self.devices.items() if d.kind not in REFERENCE_KINDS]

    @property
    def kinds_tested(self) -> dict[str, str]:
        """Of these, the kind of each."""
        return {name: self.devices[name].kind for name in self.tested}

    def bench(self, named: Collection[str] | None) -> list[str]:
        """Those under test, up to the last of the devices `named`; all where those are not known.
        Their order gives them their look, and one added at the end changes no other's."""
        devices = self.tested
        while named is not None and devices and devices[-1] not in named:
            devices.pop()
        return devices

    def restricted(self, names: Collection[str]) -> "Register":
        """The entries of these devices; all of them where it does not know one, which may be
        another misspelt."""
        if not self.devices.keys() >= set(names):
            return self
        return Register(devices={n: d for n, d in sorted(self.devices.items()) if n in names})


def _like(found: str | None, pattern: str) -> bool:
    return found is not None and fnmatch.fnmatchcase(found.casefold(), pattern.casefold())
