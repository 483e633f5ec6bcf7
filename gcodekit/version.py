"""The version of gcodekit that is at work."""

from __future__ import annotations


def number() -> str:
    """The version installed, such as "0.3.0".

    Raises
    ------
    PackageNotFoundError
        where it is run from its source folder
    """
    from importlib.metadata import version  # most commands have no use for it

    return version("gcodekit")


def program_and_version() -> str:
    """The program in words: "gcodekit 0.3.0"."""
    from importlib.metadata import PackageNotFoundError

    try:
        return f"gcodekit {number()}"
    except PackageNotFoundError:
        return "gcodekit, run from its source folder"
