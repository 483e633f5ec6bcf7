"""What a drawing's geometry can do wrong; the job turns it into a fault with its place."""

from __future__ import annotations


class GeometryError(Exception):
    """A drawn shape that cannot be: what is wrong, what would be right, and which entry's it is.

    Examples
    --------
    >>> print(GeometryError("a round of 9 mm does not fit", "at most 4 mm", index=2))
    a round of 9 mm does not fit, at most 4 mm
    """

    def __init__(self, message: str, hint: str = "", *, index: int | None = None) -> None:
        super().__init__(f"{message}, {hint}" if hint else message)
        self.message, self.hint, self.index = message, hint, index
