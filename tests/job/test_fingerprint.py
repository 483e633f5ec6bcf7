"""The state of a job is told without reading what never ends."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gcodekit.job.fingerprint import LARGEST_READ, fingerprint, plain_bytes


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text("x = 1", encoding="utf-8")
    return file


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in the file system here")
def test_a_pipe_and_a_device_count_by_their_names(job: Path) -> None:
    """Opened, the pipe would wait for ever and the device fill the memory."""
    os.mkfifo(job.with_name("pipe.dxf"))
    job.with_name("zero.dxf").symlink_to("/dev/zero")
    for name in ("pipe.dxf", "zero.dxf"):
        with pytest.raises(ValueError, match=name):
            plain_bytes(job.with_name(name))
    states = {
        fingerprint([(job, {"outlines": {"rim": {"dxf": name}}})])
        for name in ("pipe.dxf", "zero.dxf")
    }
    assert len(states) == 2


def test_a_file_of_no_workshop_s_size_is_not_read(job: Path) -> None:
    with job.with_name("large.dxf").open("wb") as file:
        file.truncate(LARGEST_READ + 1)
    with pytest.raises(ValueError, match=r"large\.dxf"):
        plain_bytes(job.with_name("large.dxf"))
