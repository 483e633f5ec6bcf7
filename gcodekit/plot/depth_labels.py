"""The depths of the cuts beside the second view, spread where they would meet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.letters import text_width
from gcodekit.plot.paper import FINE, INK, PaperBox, line, tag, words
from gcodekit.plot.scale import Scale, said
from gcodekit.units import Units

# From one figure to the next one under it, and the air between two beside one another, mm.
_ROW, _AIR = 3.5, 1.4
# From the view to a figure, along and beside a stroke that leads to it, mm.
_AWAY, _STROKE = 4.2, 0.35


def depth_labels(
    bands: Sequence[DepthBand], scale: Scale, units: Units, places: LabelPlaces
) -> str:
    """The lowest z of each band beside a front view, over a side view, as near to its height as
    the others let it."""
    digits, turned, box = (2 if units == "mm" else 3), scale.turned, scale.box
    low, high = (box.left, box.right) if turned else (box.top, box.bottom)
    seen = [(b, scale.point(0, b.low)[0 if turned else 1]) for b in bands]
    seen = [(b, at) for b, at in seen if low - 1.5 <= at <= high + 1.5]
    texts = [said(b.low, units, digits) for b, _ in seen]
    wide = [text_width(text, FINE) for text in texts]
    sizes = [w + _AIR for w in wide] if turned else [_ROW] * len(seen)
    middles = spread([at for _, at in seen], sizes)
    marks: list[str] = []
    for (band, at), text, width, middle in zip(seen, texts, wide, middles, strict=True):
        if turned:
            start, u, v = (at, box.top - 0.6), middle - width / 2, box.top - _AWAY + 0.2
            end = (middle, v + 0.7)
        else:
            start, u, v = (box.right + 1.0, at), box.right + 1.0 + _AWAY, middle + 0.9
            end = (u - 0.6, middle)
        label = PaperBox(u, v - 0.8 * FINE, u + width, v + 0.3)
        if not places.free(label):
            continue
        places.take(label)
        marks.append(line(*start, *end, stroke=band.ink, stroke_width=_STROKE))
        marks.append(words(u, v, text, size=FINE, fill=INK))
    return tag("g", *marks) if marks else ""


def spread(wanted: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Middles of things in a row, ascending: as near to the wanted ones as their sizes let them,
    those that would meet spread evenly about where they are wanted.

    Examples
    --------
    >>> spread([0.0, 10.0, 11.0], [3.0, 3.0, 3.0])
    [0.0, 9.0, 12.0]
    """
    apart = list(accumulate(((a + b) / 2 for a, b in pairwise(sizes)), initial=0.0))
    # without the sizes it is the nearest ascending row: neighbours that are not ascend as one
    blocks: list[tuple[float, int]] = []
    for at, far in zip(wanted, apart, strict=False):
        blocks.append((at - far, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (a, m), (b, n) = blocks[-2:]
            blocks[-2:] = [((a * m + b * n) / (m + n), m + n)]
    found = [at for at, count in blocks for _ in range(count)]
    return [at + far for at, far in zip(found, apart, strict=False)]
