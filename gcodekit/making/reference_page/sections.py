"""The parts of the reference page: a section for each subject, kind and table, and an index."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from html import escape

from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.keys.tables import PlacedTable, standings
from gcodekit.job.reference import reference
from gcodekit.job.reference.long_texts import notes
from gcodekit.job.reference.look_up import look_up
from gcodekit.job.reference.reference import Entry, Group, KeyHome, KeyLine, homes
from gcodekit.job.reference.trade_words import TradeWord, declared_words
from gcodekit.making.reference_page.markup import links, listing, paragraphs, words
from gcodekit.sheet.html_elements import element

FEATURE_ADDRESS = "setup.feature"


def anchor(entry: Entry) -> str:
    """The anchor of what an entry is about; "" where the page has none."""
    match entry.sort:
        case "subject":
            return f"subject-{entry.name}"
        case "kind":
            return f"kind-{entry.name}"
        case "table":
            return f"table-{entry.name}"
        case "key":
            return _key_anchor(_home(entry), entry.name)
        case _:
            return ""


def _home(entry: Entry) -> str:
    """The address of the first table or kind that a key's entry is of."""
    return next((h.address for h in homes() if h.said == entry.where[0]), "")


def _key_anchor(address: str, key: str) -> str:
    return f"key-{address}.{key}"


def leads_to(word: str) -> str:
    """The anchor that a word of the reference leads to."""
    return next(filter(None, map(anchor, look_up(word))), "")


# -- sections ---------------------------------------------------------------------------------


def subject_section(name: str) -> str:
    """A subject."""
    return _section(reference.subject(name), words(notes().topics[name].title))


def table_section(place: PlacedTable) -> str:
    """A table with its keys."""
    home = next(h for h in homes() if h.address == place.address)
    entry = reference.table(place)
    return _section(entry, element("code", escape(entry.title, quote=False)), home)


def kind_section(name: str, picture: str) -> str:
    """A kind of feature with its picture, the text of an SVG file."""
    home = next(h for h in homes() if h.address == name)
    return _section(reference.kind(name), element("code", f'kind = "{name}"'), home, picture)


def _section(entry: Entry, title: str, home: KeyHome | None = None, picture: str = "") -> str:
    own = anchor(entry)
    parts = [element("h3", element("a", title, href=f"#{own}", class_="here"))]
    parts.append(paragraphs(entry.text))
    if picture:
        parts.append(_figure(entry.name, picture))
    parts += [_keys(group, home) for group in entry.groups if home]
    parts += [_besides(heading, names) for heading, names in entry.besides]
    if entry.not_yet:
        coming = ", ".join(element("code", escape(n, quote=False)) for n in entry.not_yet)
        parts.append(element("p", f"Not yet supported: {coming}.", class_="where"))
    if entry.example:
        parts += [element("h4", "Example"), listing(entry.example)]
    if entry.see:
        also = links((word, leads_to(word)) for word in dict.fromkeys(entry.see))
        parts.append(element("p", f"See also: {also}", class_="see"))
    return element("section", *(f"\n{part}" for part in parts if part), "\n", id=own)


def _figure(kind: str, picture: str) -> str:
    """The picture as data in the page: nothing in it can reach the page, or anything else."""
    data = b64encode(picture.encode()).decode()
    said = f"The example below as made by gcodekit: stock, path and drawing of a {kind}"
    image = f'<img alt="{escape(said)}" src="data:image/svg+xml;base64,{data}">'
    return element(
        "figure", image, element("figcaption", f"{said}, from above and from the front.")
    )


def _besides(heading: str, names: Iterable[str]) -> str:
    keys = links((name, _key_anchor(FEATURE_ADDRESS, name)) for name in names)
    return element("p", f"{escape(heading)}: {keys}", class_="where")


def _keys(group: Group, home: KeyHome) -> str:
    head = element("tr", element("th", "Key"), element("th", "Meaning"), element("th", "Value"))
    rows = "\n".join(_key_row(line, home) for line in group.lines)
    heading = group.heading.replace(" (gcodekit explain depth)", "")
    return element("h4", escape(heading)) + element(
        "table", element("thead", head), element("tbody", "\n", rows)
    )


def _key_row(line: KeyLine, home: KeyHome) -> str:
    """A key: what it is, what it takes; below it what more is said of it."""
    own = any(key.name == line.name for key in home.keys)
    meaning = words(f"{line.meaning[:1].upper()}{line.meaning[1:]}.")
    if own:
        (entry,) = reference.key_entries(line.name, [home])
        meaning += paragraphs(entry.text)
    name = element("code", escape(line.name))
    if line.table:
        name = element("a", name, href=f"#{leads_to(line.table)}")
    cells = (element("td", name), element("td", meaning), element("td", _value(line)))
    return element("tr", *cells, **({"id": _key_anchor(home.address, line.name)} if own else {}))


def _value(line: KeyLine) -> str:
    rules = [escape(line.takes, quote=False)]
    if line.default == "required":
        rules.append(element("b", "required"))
    elif line.default:
        rules.append(escape(line.default, quote=False))
    if line.bounds:
        rules.append(escape(line.bounds, quote=False))
    return "; ".join(rules)


# -- trade words ------------------------------------------------------------------------------


def trade_index() -> str:
    """Every trade word with what is said of it and where it leads."""
    ordered = sorted(declared_words(), key=lambda entry: entry.words[0])
    return element("dl", *(f"\n{part}" for part in map(_trade_word, ordered)), class_="words")


def _trade_word(entry: TradeWord) -> str:
    named = (*entry.pages, *entry.see)
    said = [words(entry.text)] if entry.text else []
    if named:
        said.append(f"See {links((word, leads_to(word)) for word in named)}.")
    return element("dt", escape(", ".join(entry.words))) + element("dd", " ".join(said))


# -- contents ---------------------------------------------------------------------------------


def job_tables() -> Iterator[PlacedTable]:
    """The tables of the job file that are neither outlines nor places."""
    return (s for s in standings() if s.file == "job" and not _drawn(s))


def drawn_tables() -> Iterator[PlacedTable]:
    """Outlines, paths and places."""
    return (s for s in standings() if s.file == "job" and _drawn(s))


def workshop_tables() -> Iterator[PlacedTable]:
    """The tables of the workshop file."""
    return (s for s in standings() if s.file == "workshop")


def _drawn(place: PlacedTable) -> bool:
    return place.name in ("outline", "path", "row", "grid", "pitch_circle", "polar")


def contents() -> list[tuple[str, list[tuple[str, str]]]]:
    """Headings of the page with what stands under each: words shown, and anchors."""

    def tables(found: Iterable[PlacedTable]) -> list[tuple[str, str]]:
        return [(s.address, f"table-{s.address}") for s in found]

    return [
        ("Subjects", [(note.title, f"subject-{n}") for n, note in notes().topics.items()]),
        ("Kinds of feature", [(kind, f"kind-{kind}") for kind in kind_names()]),
        ("The job file", tables(job_tables())),
        ("Outlines and positions", tables(drawn_tables())),
        ("The workshop file", tables(workshop_tables())),
    ]
