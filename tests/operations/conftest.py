"""Jobs and plans on a small block, for every test of this folder."""

from tests.bench_jobs import job_of, plan_of

__all__ = ["job_of", "plan_of"]
