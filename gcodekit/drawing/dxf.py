"""DXF files: the lines, arcs and curves of model space by layer, blocks put in place.

ezdxf reads the file; what is made of its entities is ours, so that a block may be scaled unevenly
and every shape stays exact.
"""

from __future__ import annotations

import io
import logging
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.drawing_model import Drawing, GatheredPieces, refused
from gcodekit.drawing.dxf_entities import DXF_SHAPES, PASSED_OVER, NotFlatError, flat_frame
from gcodekit.geometry.region import GeometryError

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert

# Lines of the file: the library takes a second for some hundred thousand of them.
MOST_LINES = 500_000
# Blocks in blocks: drawing programs come to three or four.
DEEPEST_BLOCKS = 16
# Blocks put in place, empty ones too.
MOST_INSERTS = 20_000

# $INSUNITS, the header variable of the drawing's units (ezdxf.units lists them), to mm.
MM_PER_INSUNIT = {
    1: 25.4,
    2: 304.8,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    8: 25.4e-6,
    9: 0.0254,
    13: 1e-3,
    14: 100.0,
}
_BINARY_MARK = b"AutoCAD Binary DXF"  # the first bytes that the format lays down
_CODEPAGE = re.compile(rb"\$DWGCODEPAGE\s+3\s+(\w+)")
_VERSION = re.compile(rb"\$ACADVER\s+1\s+AC(\d+)")
_UTF8_SINCE = 1021


def read_dxf(raw: bytes, file: str) -> Drawing:
    """The drawing in a DXF file's bytes.

    Raises
    ------
    DrawingError
        one fault: it is no DXF, broken, or too large
    """
    document = _document(raw, file)
    reading = GatheredPieces(file)
    for layer in document.layers:
        reading.names[layer.dxf.name] = None
    _Entities(document, reading, {n.casefold(): n for n in reading.names}).read()
    unit = document.header.get("$INSUNITS", 0)
    if unit not in MM_PER_INSUNIT and unit != 0:
        raise refused(
            file, f"its units ($INSUNITS = {unit}) are not mm or inch", "save it in mm or inch"
        )
    return Drawing(
        file=file,
        sort="layer",
        unit=MM_PER_INSUNIT.get(unit),
        pieces=tuple(reading.pieces),
        names=tuple(reading.names),
        left_out=tuple(reading.left_out),
        wrong=tuple(reading.wrong),
    )


def _document(raw: bytes, file: str) -> Document:
    """The file as the library reads it."""
    if raw.startswith(_BINARY_MARK):
        raise refused(file, "is a binary DXF", "save it as a text (ASCII) DXF")
    lines = raw.count(b"\n") + raw.count(b"\r") - raw.count(b"\r\n")
    if lines > MOST_LINES:
        raise refused(file, f"has {lines} lines", f"use at most {MOST_LINES}")
    if b"\x00" in raw or not re.search(rb"^\s*0\s+SECTION\s", raw[:4096], re.MULTILINE):
        raise refused(file, "is not a DXF drawing", "save it as a text (ASCII) DXF")
    if not re.search(rb"^\s*0\s+EOF\s*$", raw[-4096:], re.MULTILINE):
        raise refused(file, "is cut short (no EOF)", "save it again")
    from ezdxf.filemanagement import read

    # what the library thinks of a file is said by us, or not at all
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())

    try:
        return read(io.StringIO(_decoded(raw), newline=None))
    except MemoryError:
        raise
    except Exception as error:  # a broken file brings out any error of the library's parser
        said = str(error).splitlines()[0][:150] if str(error) else type(error).__name__
        raise refused(file, f"is a broken DXF ({said})", "save it again") from None


def _decoded(raw: bytes) -> str:
    """The text, in the encoding that its header names; layers may have any letters."""
    version = _VERSION.search(raw[:100_000])
    if version and int(version[1]) >= _UTF8_SINCE:
        return raw.decode("utf-8", errors="replace")
    from ezdxf.tools.codepage import toencoding

    page = _CODEPAGE.search(raw[:100_000])
    return raw.decode(toencoding(page[1].decode()) if page else "cp1252", errors="replace")


@dataclass(slots=True)
class _Entities:
    """Walks model space and the blocks put into it."""

    document: Document
    reading: GatheredPieces
    layers: dict[str, str]  # by name without capitals: they do not count in it
    inserts: int = 0

    def read(self) -> None:
        for entity in self.document.modelspace():
            self._entity(entity, Affine(), "0", ())

    def _entity(self, entity: DXFEntity, by: Affine, layer: str, above: tuple[str, ...]) -> None:
        """One entity; `layer` is that of the block it stands in, `above` the blocks round it."""
        kind = entity.dxftype()
        own = self._layer(entity)
        names = (layer if own == "0" and above else own,)
        what = f"{kind} {entity.dxf.handle or ''}".strip()
        if above:
            what += f" of block {above[-1]}"
        try:
            if kind == "INSERT":
                self._insert(entity, by, names[0], above)  # type: ignore[arg-type]  # by its kind
            elif kind in DXF_SHAPES:
                for shape in DXF_SHAPES[kind](entity):
                    self.reading.add(shape.mapped(by), names, what)
            else:
                self.reading.pass_over(names, PASSED_OVER.get(kind, kind))
        except NotFlatError as error:
            self.reading.fault(names, f"{what} {error}", "draw it flat, in the XY plane")
        except GeometryError as error:
            self.reading.fault(names, f"{what}: {error.message}", error.hint or "draw it again")
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
            # what the library, or arithmetic, makes of missing or senseless values
            self.reading.fault(names, f"{what} is broken ({error})", "draw it again")

    def _layer(self, entity: DXFEntity) -> str:
        """Its layer as the file first writes it; "0" where it names none."""
        name = str(entity.dxf.get("layer", "0"))
        found = self.layers.setdefault(name.casefold(), name)
        self.reading.names.setdefault(found)
        return found

    def _insert(self, insert: Insert, by: Affine, layer: str, above: tuple[str, ...]) -> None:
        name = insert.dxf.name
        block = insert.block()
        if block is None:
            self.reading.fault(
                (layer,), f"block {name} is not in the file", "add it, or explode the block"
            )
            return
        if name in above:
            circle = " -> ".join((*above[above.index(name) :], name))
            raise refused(
                self.reading.file,
                f"a block contains itself: {circle}",
                "remove one of these inserts",
            )
        if len(above) >= DEEPEST_BLOCKS:
            raise refused(
                self.reading.file,
                "blocks are nested too deeply",
                f"use at most {DEEPEST_BLOCKS} levels",
            )
        for place in self._places(insert, block.block.dxf.base_point):  # type: ignore[union-attr]  # every block has its head
            for entity in block:
                self._entity(entity, by.after(place), layer, (*above, name))

    def _places(self, insert: Insert, base: tuple[float, ...]) -> list[Affine]:
        """The maps of a block's own coordinates: one, or rows and columns of them."""
        dxf = insert.dxf
        rows, columns = max(dxf.row_count, 1), max(dxf.column_count, 1)
        self.inserts += rows * columns
        if self.inserts > MOST_INSERTS:
            raise refused(
                self.reading.file,
                f"inserts more than {MOST_INSERTS} blocks",
                "simplify it",
            )
        frame = flat_frame(insert)
        turned = Affine.turned(math.radians(dxf.rotation))
        scaled = Affine.scaled(dxf.xscale, dxf.yscale).after(Affine.moved(-base[0], -base[1]))
        at = frame.after(Affine.moved(dxf.insert[0], dxf.insert[1])).after(turned)
        return [
            at.after(Affine.moved(c * dxf.column_spacing, r * dxf.row_spacing)).after(scaled)
            for r in range(rows)
            for c in range(columns)
        ]
