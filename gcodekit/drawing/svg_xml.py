"""XML text to elements with their lines. Nothing outside the text is looked at, nothing in it is
expanded: a document type of its own, or any entity, is refused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from gcodekit.drawing.drawing_model import refused

# More than drawing programs write: beyond it the file is broken or meant to harm.
DEEPEST_ELEMENTS = 100
MOST_ELEMENTS = 100_000
SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"


@dataclass(slots=True, eq=False)
class Element:
    """An element of SVG; `tag` is "" for those of other vocabularies."""

    tag: str
    attributes: Mapping[str, str]
    line: int
    children: list[Element] = field(default_factory=list)

    def get(self, name: str) -> str | None:
        """An attribute, without the blanks round it."""
        value = self.attributes.get(name)
        return None if value is None else value.strip()

    @property
    def href(self) -> str:
        """What it refers to."""
        return self.get("href") or self.get(f"{XLINK} href") or ""

    @property
    def what(self) -> str:
        """Its name in a message."""
        name = self.get("id")
        return f'{self.tag} "{name}"' if name else f"{self.tag} on line {self.line}"

    def style(self, name: str) -> str | None:
        """A property, from its style or the attribute of that name."""
        for entry in (self.get("style") or "").split(";"):
            key, _, value = entry.partition(":")
            if key.strip() == name:
                return value.strip()
        return self.get(name)

    def everything(self) -> Iterator[Element]:
        """It and all below it, in the order of the text."""
        waiting = [self]
        while waiting:
            element = waiting.pop()
            yield element
            waiting += reversed(element.children)


def read_xml(raw: bytes, file: str) -> Element:
    """The root element.

    Raises
    ------
    DrawingError
        one fault: it is not XML, or more than a drawing is
    """
    return _XmlBuilder(file).read(raw)


class _XmlBuilder:
    def __init__(self, file: str) -> None:
        self.file = file
        self.open: list[Element] = []
        self.root: Element | None = None
        self.count = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._entity

    def read(self, raw: bytes) -> Element:
        try:
            self.parser.Parse(raw, True)
        except expat.ExpatError as error:
            said = expat.ErrorString(error.code)
            raise refused(
                self.file, f"is not valid XML ({said})", "save it again", line=error.lineno
            ) from None
        except (LookupError, ValueError) as error:  # an encoding that nobody knows
            raise refused(self.file, f"cannot be read ({error})", "save it as UTF-8") from None
        assert self.root is not None
        return self.root

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise self._refused(f"has more than {MOST_ELEMENTS} elements", "simplify it")
        if len(self.open) >= DEEPEST_ELEMENTS:
            raise self._refused(
                "groups are nested too deeply", f"use at most {DEEPEST_ELEMENTS} levels"
            )
        space, _, local = name.rpartition(" ")
        tag = local if space in (SVG, "") else ""
        element = Element(tag, attributes, self.parser.CurrentLineNumber)
        if self.open:
            self.open[-1].children.append(element)
        else:
            self.root = element
        self.open.append(element)

    def _end(self, name: str) -> None:
        del name
        self.open.pop()

    def _doctype(self, name: str, system: str | None, public: str | None, own: bool) -> None:
        del name, system, public
        if own:
            raise self._refused("has a document type of its own", "save it as plain SVG")

    def _entity(self, *what: object) -> None:
        del what
        raise self._refused("declares entities", "save it as plain SVG")

    def _refused(self, message: str, hint: str) -> Exception:
        return refused(self.file, message, hint, line=self.parser.CurrentLineNumber)
