"""An edge: one side of the work milled back to a plane."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self

from gcodekit.geometry.chain import SAME_POINT, Chain, Point, distance
from gcodekit.geometry.region import Shift
from gcodekit.job.feature import Feature, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import PlanLimits, metal_is
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

# Where each side of the work looks.
AWAY: dict[str, Point] = {
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge(Feature):
    """One side milled back to a plane through `point`: the metal beyond it, on the side that the
    unit vector `away` points to, goes."""

    point: Point
    away: Point
    kind = "edge"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(self, point=shift.point(self.point), away=shift.direction(self.away))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The plane where it crosses the metal."""
        import shapely

        (x, y), (dx, dy) = self.point, self.away
        far = abs(x) + abs(y) + sum(map(abs, metal.bounds))
        line = shapely.LineString([(x - dy * far, y + dx * far), (x + dy * far, y - dx * far)])
        across = line.intersection(metal)
        if across.geom_type != "LineString" or across.is_empty:
            return ()
        (ax, ay), (bx, by) = across.coords[0], across.coords[-1]
        return (Chain.of_points([(ax, ay), (bx, by)], closed=False),)

    def across(self) -> SizeAcross | Wrong:
        """None: it is one wall."""
        return (
            "an edge is one wall, so it has no size across",
            "remove it, and move its `at` by what it is off",
        )

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """All beyond the plane."""
        import shapely

        from gcodekit.job.stock.drawn_removal import beyond_metal

        del narrowest
        (px, py), (dx, dy) = self.point, self.away
        far = beyond_metal(self.point, metal)
        corners = [
            (px + s * -dy + t * dx, py + s * dx + t * dy)
            for s, t in ((-far, 0.0), (far, 0.0), (far, far), (-far, far))
        ]
        return shapely.Polygon(corners)

    def zero_lost(self, raw: RawStock, narrowest: float) -> Literal["x", "y"] | None:
        """Of the side that is milled back."""
        del narrowest
        side = next((s for s, away in AWAY.items() if distance(away, self.away) < 1e-6), None)
        return PlanLimits.of_metal(raw).zero_at(side) if side else None

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Where its plane crosses the metal."""
        found = []
        for chain in self.lines(metal):
            dx, dy = chain.tangent_at(0.0)
            left = dx * self.away[1] - dy * self.away[0] > 0
            found.append(Rim(path=chain, side="left" if left else "right"))
        return tuple(found)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """A plane that has no metal beyond it, or all of it."""
        least, most = self._span(raw)
        if most > SAME_POINT and least < -SAME_POINT:
            return
        what = "cuts nothing: no stock is beyond it" if most <= SAME_POINT else "leaves no stock"
        table.error(key or "at", f"{self.name} {what}", metal_is(table, raw))

    def _span(self, raw: RawStock) -> tuple[float, float]:
        """Find how far the metal reaches beyond the plane: least (negative inside) and most."""
        dx, dy = self.away
        at = self.point[0] * dx + self.point[1] * dy
        if raw.shape == "round" and raw.axis == "z":
            centre = (raw.low[0] + raw.high[0]) / 2 * dx + (raw.low[1] + raw.high[1]) / 2 * dy
            radius = (raw.high[0] - raw.low[0]) / 2
            return centre - radius - at, centre + radius - at
        xs, ys = (raw.low[0], raw.high[0]), (raw.low[1], raw.high[1])
        reach = [x * dx + y * dy - at for x in xs for y in ys]
        return min(reach), max(reach)


def _read(table: Table, _: Surroundings) -> Build | None:
    side, at = table.choice("side"), table.length("at")
    if side is None or at is None:
        return None
    away = AWAY[side]
    point = (at, 0.0) if away[0] else (0.0, at)
    return lambda base: Edge(point=point, away=away, **base)


KIND = Kind(
    rank=7,
    keys=(
        Key(
            name="side",
            kind="choice",
            choices=("left", "right", "front", "back"),
            required=True,
            meaning="side of the work to mill, as it lies in this set-up",
        ),
        Key(
            name="at",
            kind="length",
            required=True,
            meaning="X of the finished side; Y for front and back",
        ),
    ),
    text="""\
Mill one side of the work back to a plane: left or right to X = `at`, front or back to Y = `at`. \
It is cut right through unless a depth is given. Roughing uses the side of the cutter: deep and \
narrow passes, where that is quicker, within the power of the machine, the deflection of the \
cutter and its flute length. A stepdown, stepover, feed or speed of your own is kept.""",
    example="""\
[[setup.feature]]
kind = "edge"
side = "right"
at = 98
through = true""",
    see=("depth", "face"),
    read=_read,
    ways=AREA,
    without_depth="through",
    not_both=(DEPTH_WAYS,),
)
