"""What to do with a reading that shows a size too little cut, in words for the set-up sheet."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature
from gcodekit.job.measured import SizeAcross
from gcodekit.job.model import Job
from gcodekit.sheet.figures import figure
from gcodekit.sheet.made_setup import MadeSetup

# A size that is aimed at, in decimals: limits may have their middle between two of those shown.
_AIM_PLACES = {"mm": 4, "inch": 5}


def second_chance(job: Job, made: MadeSetup) -> Iterator[str]:
    """The advice, with the size that the program aims at for the closest one; none where no pass
    of the set-up brings a size to its walls."""
    finished = {o.feature for o in made.program.operations if o.finishing}
    sized = [
        (feature, across)
        for feature in made.setup.features
        if feature.name in finished and isinstance(across := feature.across(), SizeAcross)
    ]
    if not sized:
        return
    feature, across = min(sized, key=lambda pair: _closeness(pair[0]))
    name = quoted(feature.name)
    aim = _aim(feature, across, job) if across.sizes else "the size aimed at"
    yield (
        "If too little was cut (a bore too small, a boss too large), leave the work clamped, write "
        f"the reading into the job below [measured], as {name} = {{ nominal = {aim}, measured = "
        f"your reading }}, and run gcodekit make {job.path.name} --from {name} --finish-only. "
        "The nominal is what the program aims at, of a size with limits their middle."
    )


def _closeness(feature: Feature) -> float:
    """How far apart the limits of its size are, mm; those without come last."""
    return feature.band.width if feature.band is not None else float("inf")


def _aim(feature: Feature, across: SizeAcross, job: Job) -> str:
    """The smallest of its sizes as this program aims at it, as a job file has it."""
    size = feature.measured.size if feature.measured is not None else None
    beyond = 0.0 if size is None else size.aimed - size.found
    text = figure(across.sizes[0] + beyond, job.units, _AIM_PLACES[job.units])
    return text.rstrip("0").rstrip(".")
