"""What every feature of a set-up asks, as the planner sees it; the proof has its own target."""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.part.asked import Around, Asked, FinishingCut
from gcodekit.part.asked_plain import ask_bore, ask_face, ask_hole, ask_pocket
from gcodekit.part.asked_profile import ask_profile
from gcodekit.part.asked_slot import ask_slot
from gcodekit.part.asked_walls import ask_arc, ask_boss, ask_edge


def asked_of(setup: Setup, finishing: Mapping[str, FinishingCut]) -> tuple[Asked, ...]:
    """What the set-up's features ask, in the order written; those not named in `finishing` ask
    nothing."""
    around = Around(setup)
    for feature in setup.features:
        if feature.name in finishing:
            around.add(ask(feature, finishing[feature.name], around))
    return around.asked


def ask(feature: Feature, cut: FinishingCut, around: Around) -> Asked:
    """What one feature asks. A new kind is one more line here."""
    match feature:
        case Face():
            return ask_face(feature, cut, around)
        case Pocket():
            return ask_pocket(feature, cut, around)
        case Slot():
            return ask_slot(feature, cut, around)
        case Profile():
            return ask_profile(feature, cut, around)
        case Bore():
            return ask_bore(feature, cut, around)
        case Hole():
            return ask_hole(feature, cut, around)
        case Edge():
            return ask_edge(feature, cut, around)
        case Boss():
            return ask_boss(feature, cut, around)
        case Sector():
            return ask_arc(feature, cut, around)
    raise NotImplementedError(feature.kind)
