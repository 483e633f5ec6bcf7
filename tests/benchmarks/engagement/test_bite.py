"""Engagement against closed forms, and against a circle cut into points."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from engagement.bite import Bite, bite
from engagement.left import path, swept
from engagement.ways import Level, read_level

R = 3.0
HEAD = "G21 G90 G17\nT1 M6\nS1000 M3\nG0 Z5\n"
AREA = shapely.box(0, 0, 60, 40)


def level(*lines: str) -> Level:
    return read_level(HEAD + "\n".join(lines) + "\nG0 Z5\nM2\n", feed=1500)


def cut(found: Bite, move: int) -> Bite:
    return found.rows((found.move == move) & (found.weight > 0))


def last(found: Bite) -> Bite:
    return cut(found, int(found.move.max()))


def turn(radius: float, centre: tuple[float, float] = (30, 20)) -> str:
    x, y = centre[0] + radius, centre[1]
    return f"G3 X{x} Y{y} I{-radius} J0 F1500"


def in_disc(rho0: float, rho: float) -> Level:
    """The last of all a turn at rho round a disc cleared by a turn at rho0."""
    lines = [f"G0 X{30 + rho0} Y20", "G1 Z-2 F300"]
    inner = np.arange(0.5, rho0, 2.0).tolist()
    for k in [*inner, rho0]:
        lines += [f"G1 X{30 + k} Y20 F1500", turn(k)]
    lines += ["G0 Z5", f"G0 X{30 + rho} Y20", "G1 Z-2 F300", turn(rho)]
    return level(*lines)


class TestClosedForms:
    def test_full_slot(self) -> None:
        # the first pass through solid metal: the whole leading half circle
        found = last(bite(level("G0 X10 Y20", "G1 Z-2 F300", "G1 X50 F1500"), AREA, R))
        # a quarter of a cutter in, the entry's own disc is behind
        assert np.degrees(found.phi) == pytest.approx(180, abs=1e-6)
        assert found.width == pytest.approx(2 * R)

    @pytest.mark.parametrize("width", [0.3, 1.2, 2.4, 3.0, 4.5, 5.9])
    def test_straight_pass_of_known_width(self, width: float) -> None:
        lines = ["G0 X0 Y10", "G1 Z-2 F300", "G1 X60 F1500", "G0 Z5"]
        lines += [f"G0 X0 Y{10 + width}", "G1 Z-2 F300", "G1 X60 F1500"]
        found = last(bite(level(*lines), AREA, R))
        middle = (found.share > 0.1) & (found.share < 0.9)
        assert found.phi[middle] == pytest.approx(math.acos(1 - width / R), abs=1e-9)
        assert found.width[middle] == pytest.approx(width, abs=1e-9)

    def test_a_wall_of_the_area_is_no_metal(self) -> None:
        # half the cutter beside the area
        found = last(bite(level("G0 X-5 Y0", "G1 Z-2 F300", "G1 X50 F1500"), AREA, R))
        assert found.phi[-1] == pytest.approx(math.pi / 2, abs=1e-9)
        assert found.width[-1] == pytest.approx(R, abs=1e-9)
        assert found.phi[0] == 0

    @pytest.mark.parametrize(("rho0", "rho"), [(4.0, 5.0), (6.0, 7.2), (10.0, 10.6), (9.0, 12.0)])
    def test_turn_in_a_disc(self, rho0: float, rho: float) -> None:
        """(rho0 + R)^2 = rho^2 + R^2 + 2 rho R cos(angle from outward to where metal begins); the
        turn's heading is a quarter turn on from outward."""
        found = last(bite(in_disc(rho0, rho), shapely.Point(30, 20).buffer(25, 64), R))
        outward = math.acos(((rho0 + R) ** 2 - rho**2 - R**2) / (2 * rho * R))
        # well before the turn comes back on its own start
        first = found.phi[(found.share > 0.3) & (found.share < 0.6)]
        assert first == pytest.approx(outward, abs=1e-9)

    def test_second_turn_cuts_air(self) -> None:
        lines = ["G0 X40 Y20", "G1 Z-2 F300", turn(10), turn(10)]
        found = last(bite(level(*lines), AREA, R))
        assert found.phi.max() == pytest.approx(0, abs=1e-6)
        assert found.width.max() == pytest.approx(0, abs=1e-9)

    def test_half_turns_of_rounded_places_are_as_one_turn(self) -> None:
        # as a post rounds them: the radii at an arc's two ends differ by up to 0.0001
        halves = ["G3 X20 Y19.9924 I-10 J0 F1500", "G3 X40 Y20.0153 I10 J0.0076"]
        lines = ["G0 X38 Y20", "G1 Z-2 F300", turn(8), "G1 X39", turn(9), "G1 X40", *halves]
        found = level(*lines)
        samples = bite(found, AREA, R)
        assert found.ways.sweep[-1] == pytest.approx(math.pi, abs=0.01)
        whole = math.acos(((9 + R) ** 2 - 10**2 - R**2) / (2 * 10 * R))
        for move, most in ((len(found.kinds) - 2, 1.0), (len(found.kinds) - 1, 0.7)):
            some = cut(samples, move)
            some = some.rows((some.share > 0.3) & (some.share < most))
            assert some.phi == pytest.approx(whole, abs=1e-3)

    def test_tight_turn_clears_its_own_inside(self) -> None:
        # round a circle smaller than the cutter the disc has been where the inner side now is
        lines = ["G0 X31 Y20", "G1 Z-2 F300", turn(1.0)]
        found = last(bite(level(*lines), AREA, R))
        late = found.phi[found.share > 0.5]
        assert (late < math.pi - 0.3).all()
        assert (np.diff(late) < 0).all()
        assert late[-1] > 0.1


def test_width_along_the_way_is_the_area_taken() -> None:
    """dA = a ds: all that the cuts take is what is swept less the disc of the entry."""
    random = np.random.default_rng(3)
    corners = random.uniform((4, 4), (56, 36), (25, 2)).round(4).tolist()
    lines = ["G0 X32.5 Y20", "G1 Z-2 F300", turn(2.5), "G1 X40 Y20", turn(10)]
    lines += [f"G1 X{x} Y{y}" for x, y in corners]
    found = level(*lines)
    samples = bite(found, AREA, R, step=0.05)
    taken = (samples.width * samples.weight).sum()
    assert taken == pytest.approx(swept(found, R).area - math.pi * R**2, rel=2e-3)


class TestEntry:
    def test_helix_and_its_level_turn_are_no_cut(self) -> None:
        found = level(
            "G0 X32 Y20", "G1 Z0 F300", "G3 X32 Y20 Z-1 I-2 J0", "G3 X32 Y20 Z-2 I-2 J0",
            "G3 X32 Y20 I-2 J0", "G1 X33 F1500", turn(3),
        )  # fmt: skip
        assert found.kinds[-5:] == ("entry", "entry", "entry", "cut", "cut")
        # the level turn has opened the disc it went over
        samples = bite(found, AREA, R)
        straight = cut(samples, len(found.kinds) - 2)
        assert straight.phi[0] < math.pi - 0.5

    def test_ramp_opens_only_where_it_lands(self) -> None:
        found = level("G0 X10 Y20", "G1 Z0 F300", "G1 X40 Z-2", "G1 X10 F1500")
        samples = last(bite(found, AREA, R))
        assert np.degrees(samples.phi[samples.share > 0.3]) == pytest.approx(180, abs=1e-6)

    def test_fast_move_at_the_level_is_a_link(self) -> None:
        found = level(
            "G0 X10 Y20", "G1 Z-2 F300", "G1 X40 F1500", "G1 X10 F3000", "G0 Z-1.5", "G0 X20",
            "G1 Z-2 F300", "G1 Y22 F1500",
        )  # fmt: skip
        assert found.kinds[-5:] == ("link", "link", "link", "entry", "cut")
        assert bite(found, AREA, R).phi[bite(found, AREA, R).move == 4].max() == pytest.approx(
            0, abs=1e-6
        )

    def test_program_below_the_level_is_refused(self) -> None:
        with pytest.raises(ValueError, match="below the level"):
            read_level(HEAD + "G1 Z-3 F100\nG1 X4 F100\nM2", feed=100, z=-2)


def by_points(found: Level, samples: Bite, count: int) -> np.ndarray:
    """phi once more: of so many points of the leading half circle those in the stock, by distances
    to shapely's lines of everything before."""
    ways = [shapely.LineString(path(found, i)) for i in range(len(found.kinds))]
    place, heading = found.ways.rows(samples.move).at(samples.share)
    angles = (np.arange(count) + 0.5) / count * math.pi - math.pi / 2
    phi = np.empty(len(samples.move))
    for k, (move, share) in enumerate(zip(samples.move, samples.share, strict=True)):
        x, y = place[k, :, None] + R * np.array(
            [np.cos(heading[k] + angles), np.sin(heading[k] + angles)]
        )
        points = shapely.points(x, y)
        own = shapely.LineString(_until(path(found, int(move)), place[k], float(share)))
        gone = shapely.distance(points, own) < R - 1e-4
        for i in range(int(move)):
            if found.opens[i] and ways[i].dwithin(shapely.Point(place[k]), 2 * R):
                gone |= shapely.distance(points, ways[i]) < R - 1e-7
        phi[k] = (~gone & shapely.contains_xy(AREA, x, y)).mean() * math.pi
    return phi


def _until(points: np.ndarray, place: np.ndarray, share: float) -> np.ndarray:
    kept = points[: max(1, int(share * (len(points) - 1) + 1e-9) + 1)]
    return np.vstack([kept, place])


def test_against_a_circle_of_points() -> None:
    """Lines and arcs every way across each other, phi by 6,000 points within 0.05 degrees."""
    random = np.random.default_rng(7)
    lines, x, y = ["G0 X30 Y20", "G1 Z-2 F300"], 30.0, 20.0
    for k in range(30):
        nx, ny = (float(v) for v in random.uniform((8, 8), (52, 32)).round(4))
        if k % 2:
            lines.append(f"G1 X{nx} Y{ny} F1500")
        else:
            radius = round(math.dist((x, y), (nx, ny)) * 0.5 + 0.5 + k / 7, 4)
            lines.append(f"G{2 + k // 2 % 2} X{nx} Y{ny} R{radius} F1500")
        x, y = nx, ny
    found = level(*lines)
    samples = bite(found, AREA, R)
    some = samples.rows(np.nonzero(samples.weight > 0)[0][::67])
    off = np.degrees(np.abs(some.phi - by_points(found, some, 6_000)))
    assert np.median(off) < 0.05
    assert np.percentile(off, 99) < 0.1
