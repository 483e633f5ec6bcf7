"""What reportlab has no setting for: a picture of the plot, and boxes to tick and to write in."""

from __future__ import annotations

from reportlab.platypus import Flowable

from gcodekit.sheet.black_white import black_and_white
from gcodekit.sheet.pdf_faces import Faces
from gcodekit.sheet.pdf_pictures import draw_picture

# Points in a millimetre.
MM = 72 / 25.4


class DrawnPicture(Flowable):
    """A picture in the middle of its place, made smaller where that is narrower."""

    def __init__(self, svg: str, width: float, height: float, room: float, faces: Faces) -> None:
        super().__init__()
        share = min(1.0, room / width)
        self.svg, self.faces, self.room = svg, faces, room
        self.wide, self.high = width * share, height * share
        self.spaceBefore = self.spaceAfter = 3.0

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:
        """Its size, points."""
        return self.room, self.high

    def draw(self) -> None:
        """Draw it."""
        self.canv.translate((self.room - self.wide) / 2, 0)
        draw_picture(self.canv, black_and_white(self.svg), self.wide, self.faces)


class Box(Flowable):
    """An empty box, points."""

    def __init__(self, width: float, height: float, drop: float = 0.0) -> None:
        super().__init__()
        self.wide, self.high, self.drop = width, height, drop

    @classmethod
    def tick(cls, size: float) -> Box:
        """A box to tick beside type of this size."""
        return cls(0.95 * size, 0.95 * size, 0.15 * size)

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:
        """Its size with what it lies lower than its place, points."""
        self.wide = min(self.wide, aW) if aW > 0 else self.wide
        return self.wide, self.high + self.drop

    def draw(self) -> None:
        """Draw it."""
        self.canv.setLineWidth(0.7)
        self.canv.rect(0, 0, self.wide, self.high)
