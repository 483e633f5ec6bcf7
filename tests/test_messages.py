"""Every sentence the program says, on one page to be read through, and the words it never says."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from functools import cache
from itertools import groupby
from operator import itemgetter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# Two words with a blank between them make a sentence; keys, file names and formats do not.
SENTENCE = re.compile(r"[A-Za-z]{2,}[,;:]? +(\{\}|[A-Za-z0-9])")
FORMER = "gcodekit/job/keys/former_words.py"  # says which word has taken another's place
# What a workshop would not say, and what it says instead.
NEVER = {
    r"\braw metal\b": "stock",
    r"\bstanding metal\b": "stock",
    r"\bmust be given\b": "required",
    r"\bis not to be had\b": "not found",
    r"\beven load\b": "constant engagement",
    r"\bfollow outline\b": "contour parallel",
    r"\bto and fro\b": "zigzag",
    r"\bleft standing in reach\b": "uncut but reachable",
    r"\bdrives no more\b": "limited by spindle power",
    r"\bmetal left\b": "uncut",
    r"\bnothing wrong found, ": "no errors, 3 warnings",
    r"\b[Ww]hat stands\b": "stock",
}


@cache
def sentences() -> tuple[tuple[str, str], ...]:
    """Module and sentence, in the order of the files; docstrings are not said to anybody."""
    return tuple(_sentences())


def _sentences() -> Iterator[tuple[str, str]]:
    for path in sorted([*ROOT.glob("gcodekit/**/*.py"), *ROOT.glob("postprocessors/*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        inner = {
            id(piece)
            for node in ast.walk(tree)
            if isinstance(node, ast.JoinedStr)
            for piece in node.values
        }
        silent = inner | _docstrings(tree)
        said = [
            _text(node)
            for node in ast.walk(tree)
            if isinstance(node, ast.JoinedStr | ast.Constant) and id(node) not in silent
        ]
        name = path.relative_to(ROOT).as_posix()
        yield from ((name, text) for text in dict.fromkeys(said) if SENTENCE.search(text))


def _text(node: ast.expr) -> str:
    """A literal with {} in place of what is filled in."""
    if isinstance(node, ast.JoinedStr):
        return "".join(_text(piece) for piece in node.values)
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "{}"


def _docstrings(tree: ast.Module) -> set[int]:
    """Docstrings: said to whoever works on the code."""
    found: set[int] = set()
    for node in ast.walk(tree):
        documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
        if isinstance(node, documented) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                found.add(id(first.value))
    return found


def test_every_sentence_is_on_the_page(golden: Callable[[str, str], None]) -> None:
    """Changed with --update-golden, and read as a stranger would before it is kept."""
    rows: list[str] = []
    for name, group in groupby(sentences(), key=itemgetter(0)):
        rows.append(f"== {name}")
        rows += ["  " + " ".join(text.split()) for _, text in group]
    golden("messages.txt", "\n".join(rows) + "\n")


@pytest.mark.parametrize("word", NEVER)
def test_what_a_workshop_would_not_say(word: str) -> None:
    found = [(m, text) for m, text in sentences() if re.search(word, text) and m != FORMER]
    assert not found, f"say {NEVER[word]}"


def test_reference_and_help_say_none_of_it() -> None:
    texts = [*ROOT.glob("gcodekit/**/*.toml"), ROOT / "README.md"]
    found = [
        (path.name, word)
        for path in texts
        for word in NEVER
        if re.search(word, path.read_text(encoding="utf-8"))
    ]
    assert not found
