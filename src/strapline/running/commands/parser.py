"""What is typed after `strapline`, read; what cannot be read is answered in a sentence."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from typing import NoReturn

from strapline.ground.documents import DocumentError
from strapline.ground.words import plain
from strapline.running.asked import did_you_mean


class Parser(argparse.ArgumentParser):
    """Raises DocumentError where the standard one prints its usage and leaves."""

    def error(self, message: str) -> NoReturn:
        told = re.sub(r"^argument (\S+): ", r"\1: ", message)
        told = told.replace("the following arguments are required:", "this is missing:")
        ends = "" if told.endswith((".", "?")) else "."
        raise DocumentError(f"{plain(told, 300)}{ends} For help, type `{self.prog} --help`.")

    def read(self, arguments: Sequence[str] | None) -> argparse.Namespace:
        """All arguments, each of them known; `parser` is that of the command."""
        options, unknown = self.parse_known_args(arguments)
        for word in unknown:
            known = options.parser.format_usage() if word.startswith("-") else ""
            hint = did_you_mean(word.partition("=")[0], re.findall(r"--[a-z-]+", known))
            options.parser.error(f"'{plain(word)}' does not belong here.{hint}")
        return options
