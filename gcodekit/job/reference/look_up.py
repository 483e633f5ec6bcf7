"""Looking up a word in the reference: a subject, a kind, a table, a key, a word that a key may be,
or a word of the trade that leads to one of them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator

from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.keys.not_yet import KEYS
from gcodekit.job.keys.tables import PlacedTable, standings, words_of
from gcodekit.job.reference import reference
from gcodekit.job.reference.long_texts import notes
from gcodekit.job.reference.reference import Entry, KeyHome, homes
from gcodekit.job.reference.trade_words import spelling, trade_words

# Below this likeness another spelling is another word. Tried on misspelt keys and on trade words.
LIKE_ENOUGH = 0.8


def look_up(word: str) -> tuple[Entry, ...]:
    """All that is said of a word, the most general first; empty where it is not known.

    A header may come with its brackets, a key with its table and a full stop before it, as faults
    name it: ``setup 1.feature 2.depth``. A word of the trade brings the pages that answer it.
    """
    asked = _plain(word)
    trade = trade_words().get(spelling(word)) or trade_words().get(spelling(asked))
    if trade is None:
        return _declared(word) or _declared(re.sub(r"[ -]", "_", asked))
    note = Entry(
        sort="trade word", name=asked, title=" ".join(word.split()), text=trade.text, see=trade.see
    )
    pages = (entry for page in (*trade.pages, word) for entry in _declared(page))
    return (*((note,) if trade.text else ()), *_once(pages))


def _once(entries: Iterator[Entry]) -> Iterator[Entry]:
    """Each entry once, in the sequence in which they first come."""
    shown: list[Entry] = []
    for entry in entries:
        if entry not in shown:
            shown.append(entry)
            yield entry


def _declared(word: str) -> tuple[Entry, ...]:
    """What the files' own words lead to."""
    asked = _plain(word)
    topics = [n for n, note in notes().topics.items() if asked == n or asked in note.words]
    kinds = [k for k in kind_names() if asked in (k, f"setup.feature.{k}")]
    tables = [s for s in standings() if _means(asked, s.address) or asked in _further(s)]
    found = [
        *map(reference.subject, topics),
        *map(reference.kind, kinds),
        *map(reference.table, tables),
        *_keys(asked, tables),
    ]
    return (*found, *_words(asked), *_to_come(asked))


def _plain(word: str) -> str:
    """A word as it is looked up: without brackets, quotes and running numbers."""
    bare = re.sub(r"[\[\]{}\"'`]", "", word).partition("=")[0]
    return " ".join(re.sub(r" \d+(?=\.|$)", "", bare.strip()).lower().split())


def _means(asked: str, address: str) -> bool:
    """Tell whether a table is meant by its address or by the end of it."""
    return asked == address or address.endswith(f".{asked}")


def _further(place: PlacedTable) -> tuple[str, ...]:
    """Words that lead to a table besides its address."""
    note = notes().tables.get(place.address)
    return note.words if note else ()


def _keys(asked: str, shown: list[PlacedTable]) -> list[Entry]:
    """Keys of that name, but for those that only lead to a table shown already."""
    owner, _, name = asked.rpartition(".")
    among = [h for h in homes() if not owner or _owned(owner, h)]
    named = {s.name for s in shown}
    return [e for e in reference.key_entries(name, among) if not _only_leads(e, named)]


def _owned(owner: str, home: KeyHome) -> bool:
    """`setup.feature` owns its kinds' keys too."""
    kind = home.address in kind_names()
    return _means(owner, home.address) or (kind and _means(owner, "setup.feature"))


def _only_leads(entry: Entry, named: set[str]) -> bool:
    (line,) = entry.groups[0].lines
    return line.table in named and line.takes in ("table { }", "list of tables")


def _words(asked: str) -> Iterator[Entry]:
    """Keys that may be this word."""
    for home in homes():
        for key in home.keys:
            if asked in words_of(home.table, key) and asked not in kind_names():
                yield Entry(
                    sort="word",
                    name=asked,
                    title=f'{key.name} = "{asked}"',
                    where=(home.said,),
                    text=f"A value of the key {key.name}: {key.meaning}.",
                    groups=(reference.Group("", (reference.line(home.table, key),)),),
                )


def _to_come(asked: str) -> Iterator[Entry]:
    """Keys and words of that name that are not yet supported."""
    owner, _, name = asked.rpartition(".")
    for header, keys in KEYS.items():
        if name in keys and (not owner or owner in header):
            where = f'kind = "{header}"' if header in kind_names() else header
            noted = notes().tables.get(f"setup.feature.{name}") if header in kind_names() else None
            yield _coming(name, name, where, noted.text if noted else "")


def _coming(name: str, title: str, where: str, text: str = "") -> Entry:
    refused = "Not yet supported: a job that uses it is refused."
    text = f"{text}\n\n{refused}" if text else refused
    return Entry(sort="not yet", name=name, title=title, text=text, where=(where,))


def nearest_word(word: str) -> str | None:
    """The word of the reference that is spelt most like this one, if it is near."""
    known = {*notes().topics, *kind_names(), *(s.name for s in standings())}
    known |= {
        w for n in (notes().topics, notes().tables) for note in n.values() for w in note.words
    }
    known |= {k.name for h in homes() for k in h.keys}
    known |= {k for keys in KEYS.values() for k in keys}
    known |= set(trade_words())
    asked = _plain(word).rpartition(".")[2]
    close = difflib.get_close_matches(asked[:60], sorted(known), n=1, cutoff=LIKE_ENOUGH)
    return close[0] if close else None
