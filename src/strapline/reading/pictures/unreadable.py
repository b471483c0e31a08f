"""Why a picture cannot be used."""


class UnreadablePicture(ValueError):
    """A picture without one curve to read; its message is a plain sentence for the tester."""
