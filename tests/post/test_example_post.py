"""The example of a user's own post, by every way a post can be found."""

from __future__ import annotations

import shutil
import sys
import tomllib
from pathlib import Path

import pytest

from gcodekit.errors import PostError
from gcodekit.post.find import ENTRY_POINTS, all_posts, find_post

EXAMPLE = Path(__file__).parent / "example_post"


def install(site: Path, project: Path) -> None:
    """What an installer leaves behind of a package: its module and its metadata (PyPA "Recording
    installed projects" and "Entry points specification"); no network, no build."""
    about = tomllib.loads((project / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for module in project.glob("*.py"):
        shutil.copy(module, site)
    name, version = about["name"], about["version"]
    info = site / f"{name.replace('-', '_')}-{version}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
    lines = [
        f"[{group}]\n" + "".join(f"{k} = {v}\n" for k, v in entries.items())
        for group, entries in about["entry-points"].items()
    ]
    (info / "entry_points.txt").write_text("\n".join(lines))


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that packages are installed in."""
    folder = tmp_path / "site"
    folder.mkdir()
    monkeypatch.syspath_prepend(str(folder))
    for module in ("shed_mill", "rs274_full"):
        monkeypatch.delitem(sys.modules, module, raising=False)
    return folder


def project(folder: Path, name: str, text: str) -> Path:
    folder.mkdir()
    (folder / f"{name}.py").write_text(text, encoding="utf-8")
    about = f'[project]\nname = "other"\nversion = "2"\n[project.entry-points."{ENTRY_POINTS}"]\n'
    (folder / "pyproject.toml").write_text(f'{about}{name} = "{name}:post"\n', encoding="utf-8")
    return folder


def test_from_a_users_folder() -> None:
    assert find_post("shed_mill", posts=EXAMPLE).units == "mm"
    assert find_post("shed_mill", environment=str(EXAMPLE)).units == "mm"


def test_the_folder_holds_no_other_post() -> None:
    found, faults = all_posts(posts=EXAMPLE)
    assert [f.post.name for f in found if f.source.startswith(str(EXAMPLE))] == ["shed_mill"]
    assert faults == ()


def test_from_an_installed_package(site: Path) -> None:
    with pytest.raises(PostError, match="no such post"):
        find_post("shed_mill")
    install(site, EXAMPLE)
    assert find_post("shed_mill") == find_post("shed_mill", posts=EXAMPLE)
    found, faults = all_posts()
    assert faults == ()
    assert {f.post.name: f.source for f in found}["shed_mill"] == "shed_mill:post"


def test_a_package_never_stands_before_a_shipped_post(site: Path, tmp_path: Path) -> None:
    text = "from gcodekit.post.contract import Post\npost = Post(name='rs274_full', description='')"
    install(site, project(tmp_path / "other", "rs274_full", text))
    assert find_post("rs274_full").description


def test_a_broken_package_is_one_line(site: Path, tmp_path: Path) -> None:
    install(site, project(tmp_path / "other", "shed_mill", "1 / 0\n"))
    with pytest.raises(PostError, match=r"^shed_mill:post: ZeroDivisionError: [^\n]*$"):
        find_post("shed_mill")
    found, faults = all_posts()
    assert "rs274_full" in {f.post.name for f in found}
    assert len(faults) == 1


@pytest.mark.parametrize("file", ["gcodekit/job/data/reference.toml", "DEVELOPERS.md"])
def test_the_documents_name_it(file: str) -> None:
    root = Path(__file__).parents[2]
    assert "tests/post/example_post" in (root / file).read_text(encoding="utf-8")
