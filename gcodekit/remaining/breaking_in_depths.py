"""A check that features which break into another are as deep as they should be.

The job finds that depth from sections of what the other takes. Here it is found from solids: what
the other leaves of a column as wide as the feature lies over its hollow and under it, and the gap
between is where the feature breaks in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from manifold3d import CrossSection, Manifold

from gcodekit.errors import Fault
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job, Setup
from gcodekit.remaining.solid_frames import into, out_of
from gcodekit.target import planar
from gcodekit.target.kind_target import target_kind
from gcodekit.target.volumes import VOLUME_BEYOND, Finish
from gcodekit.units import format_length

# Depths differ by no more than this, mm.
DEPTHS_DIFFER = 0.01
# The feature's rim is drawn in by so much, mm, for the chords of both to lie within one another; by
# the first it breaks in no higher than is so, by the last no lower.
DRAWN_IN = (0.0, 0.5 * planar.SOLID_SAG, 3 * planar.SOLID_SAG)
# A feature goes on no farther than this share of the way to the other side. Common practice, no
# source.
SHARE_OF_ROOM = 0.5
HINT = "this is a defect of gcodekit, not of the job: no program is written"


def wrong_depths(job: Job, finishes: Mapping[str, Finish]) -> Iterator[Fault]:
    """A fault for every feature that does not stop where it breaks into the other."""
    owners = {f.name: (s, f) for s in job.setups for f in s.features}
    for setup in job.setups:
        for feature in (f for f in setup.features if f.depth.into):
            other_setup, other = owners[feature.depth.into]
            body = target_kind(other).solid(other, other_setup, finishes[other.name], "drawn")
            hollow = into(setup, out_of(other_setup, body))
            area = target_kind(feature).in_plan(feature, setup, finishes[feature.name], "drawn")
            # how wide a kerf or an allowance is the job does not know: there is the least of it
            loose = target_kind(other).kerf_wide or not other.cutting.finish
            text = _wrong(job, setup, feature, list(_gaps(area, hollow, setup, feature)), loose)
            if text:
                yield Fault(feature.place, f"{feature.name}: {text}", HINT)


def _gaps(
    area: CrossSection, hollow: Manifold, setup: Setup, feature: Feature
) -> Iterator[tuple[float, float]]:
    """From where to where all of a feature lies within the hollow, the highest such place below its
    top, with its rim drawn in less and more."""
    low, high = setup.left.low[2] - VOLUME_BEYOND / 2, setup.raw.high[2] + VOLUME_BEYOND / 2
    for inwards in DRAWN_IN:
        column = Manifold.extrude(planar.grown(area, -inwards), high - low).translate((0, 0, low))
        pieces = (column - hollow).decompose()
        spans = sorted((p.bounding_box()[2], p.bounding_box()[5]) for p in pieces)
        at, found = low, None
        for bottom, top in spans:
            if at < bottom - DEPTHS_DIFFER and bottom < feature.depth.top + DEPTHS_DIFFER:
                found = (at, bottom)
            at = max(at, top)
        if found is not None:
            yield found


def _wrong(
    job: Job, setup: Setup, feature: Feature, gaps: list[tuple[float, float]], loose: bool
) -> str:
    """Return what is wrong with the depth; nothing where it is right."""
    depth, near = feature.depth, DEPTHS_DIFFER
    if not gaps:
        return f"planned to break into {depth.into}: cut as drawn it does not"
    (_, least), (_, most) = gaps[0], gaps[-1]

    def said(z: float) -> str:
        return f"Z {format_length(round(z, 3), job.units)}"

    if depth.floor > most + near or (depth.floor < least - near and not loose):
        text = f"planned to break into {depth.into} at {said(depth.floor)}"
        return f"{text}: cut as drawn it does so at {said(most)}"
    bottom = setup.sure.low[2]
    rooms = [SHARE_OF_ROOM * (depth.floor - max(gap[0], bottom)) for gap in gaps]
    beyond = [min(setup.breakthrough, room) for room in (min(rooms), max(rooms))]
    used = depth.floor - depth.cut_to
    if not beyond[0] - near <= used <= beyond[1] + near and not loose:
        text = f"planned to go on into {depth.into} to {said(depth.cut_to)}"
        return f"{text}: cut as drawn it has room to {said(depth.floor - beyond[1])}"
    return ""
