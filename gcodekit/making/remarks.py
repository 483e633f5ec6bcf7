"""The words of a program, as they were before the writer broke and marked them."""

from __future__ import annotations

import re

_COMMENT = re.compile(r"\s*(?:N\d+\s*)?(?:\(([^)]*)\)|;(.*))\s*", re.IGNORECASE)


def remark(line: str) -> str | None:
    """What a line that is all comment says; None of any other line."""
    match = _COMMENT.fullmatch(line)
    return (match[1] or match[2] or "").strip() if match else None


def bare(text: str) -> str:
    """A text without its spaces: long lines are broken anywhere."""
    return "".join(text.split())
