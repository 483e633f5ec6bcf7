"""The reference page: sound HTML by itself, everything on it, every link to somewhere on it."""

from __future__ import annotations

import re
from base64 import b64decode, b64encode
from collections import Counter
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from gcodekit.errors import GcodekitError
from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.reference.long_texts import notes
from gcodekit.job.reference.reference import homes
from gcodekit.job.reference.trade_words import declared_words
from gcodekit.making.reference_page import page as pages
from gcodekit.making.reference_page.markup import paragraphs, words
from gcodekit.making.reference_page.page import leave_reference, page
from gcodekit.making.reference_page.pictures import picture
from gcodekit.sheet.html_elements import element

# Elements that have no end tag, HTML Living Standard 13.1.2.
VOID = ("meta", "img")


class Outline(HTMLParser):
    """What of a page the tests ask about."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.sources: list[str] = []
        self.names: Counter[str] = Counter()
        self.text: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        self.names[tag] += 1
        self.ids += [given["id"]] if "id" in given else []
        self.links += [given["href"]] if "href" in given else []
        self.sources += [given["src"]] if "src" in given else []
        assert not any(key.startswith("on") for key in given)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


@pytest.fixture(scope="module")
def drawn() -> dict[str, str]:
    return {kind: f"<svg><title>{kind}</title></svg>" for kind in kind_names()}


@pytest.fixture(scope="module")
def outline(drawn: dict[str, str]) -> Outline:
    return Outline(page(drawn))


def test_every_element_is_closed_and_every_link_leads_somewhere(outline: Outline) -> None:
    assert outline.open == []
    assert [name for name, n in Counter(outline.ids).items() if n > 1] == []
    assert {link.removeprefix("#") for link in outline.links} <= set(outline.ids)
    assert len(outline.links) > 400


def test_nothing_runs_and_nothing_is_fetched(outline: Outline, drawn: dict[str, str]) -> None:
    assert outline.names["script"] == outline.names["link"] == 0
    assert all(source.startswith("data:image/svg+xml;base64,") for source in outline.sources)
    text = page(drawn)
    assert not re.search(r"https?:|//[a-z]|@import|url\(", re.sub(r'base64,[^"]+', "", text))
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:"
    assert f'content="{policy}"' in text


def test_every_key_kind_subject_and_trade_word_is_on_it(outline: Outline) -> None:
    keys = {f"key-{home.address}.{key.name}" for home in homes() for key in home.keys}
    assert keys <= set(outline.ids)
    assert {f"kind-{kind}" for kind in kind_names()} <= set(outline.ids)
    assert {f"subject-{name}" for name in notes().topics} <= set(outline.ids)
    text = "".join(outline.text)
    assert all(", ".join(entry.words) in text for entry in declared_words())
    assert "length, mm or in; default: 5 mm; 0.1 to 500 mm" in text


def test_pictures_are_of_their_kinds(outline: Outline) -> None:
    found = [b64decode(source.partition(",")[2]).decode() for source in outline.sources]
    assert found == [f"<svg><title>{kind}</title></svg>" for kind in kind_names()]


def test_dark_light_and_paper_are_styled(drawn: dict[str, str]) -> None:
    text = page(drawn)
    assert "prefers-color-scheme: dark" in text
    assert "@media print" in text


@pytest.mark.parametrize("kind", kind_names())
def test_the_example_of_every_kind_is_made_and_drawn(kind: str) -> None:
    root = ElementTree.fromstring(picture(kind))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert f"One {kind}: " in "".join(root.itertext())
    assert len(list(root.iter("{http://www.w3.org/2000/svg}path"))) > 10


def test_left_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, drawn: dict[str, str]
) -> None:
    monkeypatch.setattr(pages, "picture", drawn.__getitem__)
    file, steps = tmp_path / "new" / "reference.html", []
    assert leave_reference(file, progress=steps.append) == file
    assert file.read_text(encoding="utf-8") == page(drawn)
    assert "ten seconds" in steps[0]
    assert steps[1:] == [f"drawing {kind}" for kind in kind_names()]
    assert [f.name for f in file.parent.iterdir()] == ["reference.html"]

    def broken(kind: str) -> str:
        raise GcodekitError([])

    monkeypatch.setattr(pages, "picture", broken)
    with pytest.raises(GcodekitError):
        leave_reference(tmp_path / "other.html")
    assert not (tmp_path / "other.html").exists()


@pytest.mark.parametrize(
    ("name", "said"),
    [("page.txt", "is not an HTML file"), ("folder.html", "is a folder"), ("file/a.html", "file")],
)
def test_where_no_page_can_go(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder.html").mkdir()
    (tmp_path / "file").write_text("")
    with pytest.raises(GcodekitError, match=said):
        leave_reference(tmp_path / name)


def test_texts_are_escaped() -> None:
    assert words("a < b & `c < d`") == "a &lt; b &amp; <code>c &lt; d</code>"
    assert element("a", "x", title='"<&') == '<a title="&quot;&lt;&amp;">x</a>'
    assert paragraphs("one\ntwo\n\n    as <typed>") == (
        "<p>one\ntwo</p>\n<pre><code>as &lt;typed&gt;</code></pre>"
    )
