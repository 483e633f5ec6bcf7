"""The search for posts: the first place that has the name wins.

A post is code. It is loaded only from the folder the user named, the folders the environment
names, the shipped folder and installed packages that offer one; never from a job's own folder.
"""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

from gcodekit.errors import Fault, Place, PostError
from gcodekit.post.contract import POST_NAME, Post

ENTRY_POINTS = "gcodekit.posts"


@dataclass(frozen=True, slots=True)
class FoundPost:
    """A post and the file or package it came from."""

    post: Post
    source: str


def shipped(folder: str) -> Path:
    """A folder that comes with gcodekit: inside the wheel, or beside the package in a clone."""
    package = Path(__file__).parents[1]
    bundled = package / "_bundled" / folder
    return bundled if bundled.is_dir() else package.parent / folder


def search_path(posts: Path | None, environment: str | None) -> tuple[Path, ...]:
    """The folders to look in, first first.

    Raises
    ------
    PostError
        When a folder the user named is not there.
    """
    named = [posts] if posts else []
    named += [Path(p) for p in (environment or "").split(os.pathsep) if p]
    faults = [
        Fault(Place(str(folder)), "folder of posts not found", "give one that exists")
        for folder in named
        if not folder.is_dir()
    ]
    if faults:
        raise PostError(faults)
    return (*named, shipped("postprocessors"))


def find_post(name: str, *, posts: Path | None = None, environment: str | None = None) -> Post:
    """The post of that name.

    Parameters
    ----------
    posts : a folder that is searched first
    environment : the value of GCODEKIT_POSTS, folders joined as PATH joins them

    Raises
    ------
    PostError
        When there is none, or its file is at fault.
    """
    folders = search_path(posts, environment)
    if POST_NAME.fullmatch(name):
        for folder in folders:
            file = folder / f"{name}.py"
            if file.is_file():
                return load_post(file)
        for entry in entry_points(group=ENTRY_POINTS, name=name):
            return _load_entry(entry)
    known = ", ".join(sorted({n for n, _ in _names(folders)})) or "none"
    raise PostError([Fault(Place(name), "no such post", f"choose one of {known}")])


def all_posts(
    *, posts: Path | None = None, environment: str | None = None
) -> tuple[tuple[FoundPost, ...], tuple[Fault, ...]]:
    """Every post that can be found, and what is wrong with those that cannot be read."""
    found: dict[str, FoundPost] = {}
    faults: list[Fault] = []
    for name, source in _names(search_path(posts, environment)):
        if name in found:
            continue
        try:
            post = load_post(source) if isinstance(source, Path) else _load_entry(source)
        except PostError as error:
            faults += error.faults
            continue
        found[name] = FoundPost(post, str(source if isinstance(source, Path) else source.value))
    return tuple(found[n] for n in sorted(found)), tuple(faults)


def _names(folders: tuple[Path, ...]) -> Iterator[tuple[str, Path | EntryPoint]]:
    for folder in folders:
        for file in sorted(folder.glob("*.py")):
            if POST_NAME.fullmatch(file.stem):
                yield file.stem, file
    for entry in entry_points(group=ENTRY_POINTS):
        yield entry.name, entry


def load_post(file: Path) -> Post:
    """The `post` that a file binds.

    Raises
    ------
    PostError
        One line: the file and what went wrong in it.
    """
    spec = importlib.util.spec_from_file_location(f"gcodekit_post_{file.stem}", file)
    if spec is None or spec.loader is None:
        raise _broken(str(file), "cannot be loaded", 0)
    module = importlib.util.module_from_spec(spec)
    try:
        spec.loader.exec_module(module)
    except Exception as error:  # whatever a user's file does wrong is one line to the user
        raise _broken(str(file), f"{type(error).__name__}: {error}", _line(error, file)) from error
    return _checked(getattr(module, "post", None), file.stem, str(file))


def _load_entry(entry: EntryPoint) -> Post:
    try:
        value = entry.load()
    except Exception as error:  # an installed package's fault is one line to the user too
        raise _broken(entry.value, f"{type(error).__name__}: {error}", 0) from error
    return _checked(value, entry.name, entry.value)


def _checked(value: object, name: str, source: str) -> Post:
    if not isinstance(value, Post):
        raise _broken(source, "defines no post", 0, "write post = Post(...)")
    if value.name != name:
        raise _broken(source, f"post is named {value.name!r}", 0, f"name it {name!r}")
    return value


def _line(error: Exception, file: Path) -> int:
    """The last line of the post's own file that the error went through."""
    if isinstance(error, SyntaxError):
        return error.lineno or 0
    line, trace = 0, error.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == str(file):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line


def _broken(source: str, what: str, line: int, hint: str = "correct the post") -> PostError:
    return PostError([Fault(Place(source, line), what.splitlines()[0], hint)])
