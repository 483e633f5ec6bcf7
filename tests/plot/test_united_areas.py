"""Areas as one, where they meet in whole edges and where they do but for rounding."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from gcodekit.plot.part_view.united_areas import united


def test_areas_that_meet_in_whole_edges() -> None:
    squares = [shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)]
    assert united(np.array(squares, dtype=object)).area == pytest.approx(2.0)


def test_what_the_quick_way_cannot_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Facets of a job's part whose edges crossed by rounding ended `make` with an exception."""

    def refuse(areas: object) -> None:
        raise shapely.errors.GEOSException("incorrectly noded inputs")

    monkeypatch.setattr(shapely, "coverage_union_all", refuse)
    areas = [shapely.box(0, 0, 1, 1), shapely.box(0.5, 0, 2, 1)]
    assert united(np.array(areas, dtype=object)).area == pytest.approx(2.0)
