"""A job written to a folder, with a workshop beside it, and made there."""

from __future__ import annotations

from pathlib import Path

from gcodekit.making.make import Report, make


def made_in(folder: Path, job: str, shop: str = "") -> Report:
    """Make a job from its text; `shop` is what its "shop.toml" holds."""
    if shop:
        (folder / "shop.toml").write_text(shop, encoding="utf-8")
    (folder / "job.toml").write_text(job, encoding="utf-8")
    return make(folder / "job.toml", folder / "out")


def told(outcome: Report) -> str:
    """All that was said, a line each."""
    return "\n".join(str(fault) for fault in outcome.faults)
