"""Where posts are found, and what is said of those that cannot be read."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from gcodekit.errors import PostError
from gcodekit.post.contract import Post
from gcodekit.post.find import all_posts, find_post

HEAD = "from gcodekit.post.contract import Post\n"


def put(folder: Path, name: str, text: str) -> Path:
    folder.mkdir(exist_ok=True)
    file = folder / f"{name}.py"
    file.write_text(HEAD + text, encoding="utf-8")
    return file


def described(name: str, words: str) -> str:
    return f"post = Post(name={name!r}, description={words!r})\n"


def test_first_folder_wins(tmp_path: Path) -> None:
    put(tmp_path / "a", "mine", described("mine", "from a"))
    put(tmp_path / "b", "mine", described("mine", "from b"))
    put(tmp_path / "c", "rs274_full", described("rs274_full", "from c"))
    environment = os.pathsep.join([str(tmp_path / "b"), str(tmp_path / "c")])
    assert find_post("mine", posts=tmp_path / "a").description == "from a"
    assert find_post("mine", environment=environment).description == "from b"
    both = find_post("mine", posts=tmp_path / "a", environment=environment)
    assert both.description == "from a"
    assert find_post("rs274_full", environment=environment).description == "from c"
    assert find_post("rs274_full").description.startswith("RS-274")


def test_unknown_name_says_what_there_is() -> None:
    known = "iso6983, motion_only, rs274_full"
    with pytest.raises(PostError, match=rf"^nosuch: no such post, choose one of {known}$"):
        find_post("nosuch")


@pytest.mark.parametrize("name", ["../outside", "a/b", "", ".", "C:x", "x" * 65])
def test_a_name_is_no_path(tmp_path: Path, name: str) -> None:
    put(tmp_path, "outside", described("outside", ""))
    (tmp_path / "posts").mkdir()
    with pytest.raises(PostError, match="no such post"):
        find_post(name, posts=tmp_path / "posts")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        pytest.param("post = Post(", r":2: SyntaxError: ", id="syntax"),
        pytest.param("\n1 / 0\n", r":3: ZeroDivisionError: division by zero", id="exception"),
        pytest.param("\n", r": defines no post, write post = Post", id="no-post"),
        pytest.param("post = 3\n", r": defines no post", id="not-a-post"),
        pytest.param(described("other", ""), r": post is named 'other'", id="name"),
        pytest.param(
            "post = Post(name='bad', description='', longest_line=9)\n",
            r":2: ValueError: longest_line 9: must be 60 to 256",
            id="value",
        ),
        pytest.param(
            "post = Post(name='bad', description='', end=('M2'))\n",
            r":2: ValueError: lead, start, end and cycles must be tuples",
            id="no-tuple",
        ),
        pytest.param(
            "post = Post(name='bad', description='', cycles=('G87',))\n",
            r":2: ValueError: cycles \('G87',\): choose from",
            id="cycle",
        ),
        pytest.param(
            "post = Post(name='bad', description='', tool_change=False)\n",
            r":2: ValueError: tool_change=False needs one_cutter_a_file=True",
            id="cutters-untold",
        ),
        pytest.param(
            "post = Post(name='bad', description='', start=('G21\\nM3 S9000',))\n",
            r":2: ValueError: line 'G21\\nM3 S9000'",
            id="line",
        ),
    ],
)
def test_broken_post_is_one_line(tmp_path: Path, text: str, wanted: str) -> None:
    file = put(tmp_path, "bad", text)
    with pytest.raises(PostError) as caught:
        find_post("bad", posts=tmp_path)
    line = str(caught.value)
    assert "\n" not in line
    assert line.startswith(str(file))
    assert re.match(wanted, line.removeprefix(str(file)))


def test_missing_folder(tmp_path: Path) -> None:
    with pytest.raises(PostError, match="folder of posts not found"):
        find_post("rs274_full", posts=tmp_path / "no")


def test_list_keeps_going_past_a_broken_one(tmp_path: Path) -> None:
    put(tmp_path, "bad", "1 / 0")
    put(tmp_path, "good", described("good", "fine"))
    found, faults = all_posts(posts=tmp_path)
    assert [f.post.name for f in found] == ["good", "iso6983", "motion_only", "rs274_full"]
    assert len(faults) == 1


def test_start_blocks_fill_in_only_what_is_known() -> None:
    post = Post(name="p", description="", start=("%", "{units} {other}"))
    assert post.start_blocks(units="G21", work_offset="G54") == ("%", "G21 {other}")
