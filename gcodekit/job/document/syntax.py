"""What is wrong with a text that is not TOML, in bench words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from gcodekit.job.document.error_context import KEY_START, TOKEN, Spot
from gcodekit.job.document.key_places import Locator, Path, line_of

LIST_WORDS = frozenset({"setup", "feature", "copy", "copies", "cutter"})

_STATEMENT = re.compile(
    r"[ \t]*(?:[A-Za-z_][\w.-]*[ \t]*=|\[\[?[A-Za-z_][\w. -]*\]\]?[ \t]*(?:#.*)?$)"
)
QUOTES = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb\u2033\u2032\u00b4`"
MINUSES = "\u2212\u2013\u2014\u2010\u2011\u2012\ufe63\uff0d"
SPACES = "\u00a0\u1680\u202f\u205f\u3000\ufeff" + "".join(map(chr, range(0x2000, 0x200C)))


@dataclass(frozen=True, slots=True)
class SyntaxFinding:
    """A syntax error: `key` in bench words where one stands on the line."""

    line: int
    message: str
    hint: str
    key: str = ""


Answer = tuple[str, str] | tuple[str, str, int] | None  # message, hint, line if another


def explain(text: str, reported: str) -> SyntaxFinding:
    """Find what the parser's complaint means.

    Parameters
    ----------
    reported : the message of the standard parser for this text
    """
    spot = Spot(text, reported)
    for rule in RULES:
        answer = rule(spot)
        if answer:
            line = answer[2] if len(answer) == 3 else spot.line
            return SyntaxFinding(line, answer[0], answer[1], spot.key(line))
    snippet = text[spot.at :].split("\n", 1)[0].strip()[:30]
    if snippet and "Expected newline" in spot.reason:
        message = f"{snippet} is not expected after the value"
        return SyntaxFinding(
            spot.line, message, "write one key = value on each line", spot.key(spot.line)
        )
    where = f"cannot be read from {snippet} on" if snippet else "the line is not complete"
    return SyntaxFinding(spot.line, where, "write key = value", spot.key(spot.line))


def huge_number(spot: Spot) -> Answer:
    """The parser's own limit on digits."""
    if "integer string conversion" not in spot.reason:
        return None
    match = re.search(r"\d{4000,}", spot.text)
    line = spot.text.count("\n", 0, match.start()) + 1 if match else 0
    return "a number has thousands of digits", "correct it", line


def unclosed_bracket(spot: Spot) -> Answer:
    """The next statement begins, or the file ends, inside a bracket."""
    if not spot.brackets:
        return None
    sign, line = spot.brackets[-1]
    if sign == "{" and line == spot.line and spot.char in ("\n", "#"):
        return None  # a one-line table: its own rule says more
    rest = spot.text[spot.at :].strip()
    if rest and not (line < spot.line and _STATEMENT.match(spot.line_text)):
        return None
    closing = {"[": "]", "{": "}"}[sign]
    return f"the bracket {sign} is not closed", f"add {closing}", line


def line_in_table(spot: Spot) -> Answer:
    """A new line (or a comment) inside { }."""
    if spot.brackets and spot.brackets[-1][0] == "{" and spot.char in ("\n", "#", ""):
        return (
            "a line break inside { }",
            "put } on the same line, or write the keys below a header of their own",
        )
    return None


def odd_character(spot: Spot) -> Answer:
    """Find what a word processor or a web page puts in."""
    char = spot.char
    line = re.sub(r"#.*", "", spot.line_text)
    if (char in QUOTES and char) or (spot.in_string and any(q in line for q in QUOTES)):
        return "word-processor quotes", 'type plain quotes: "'
    if char and char in MINUSES:
        return f"{char} is not a minus sign", "type the - of the keyboard"
    if char and char in SPACES:
        return "a special space character", "type an ordinary space"
    if char == "\u00b0":
        return "a degree sign", "write the number alone, in degrees"
    awaits_key = "Invalid statement" in spot.reason or "Expected '='" in spot.reason
    if char.isalpha() and not char.isascii() and awaits_key:
        return f"{char} in the name of a key", "use a to z, digits, _ and -"
    if char == "\r":
        return "a stray carriage return", "save the file with ordinary line ends"
    if char and ((ord(char) < 32 and char not in "\t\n") or ord(char) == 127):
        return f"a control character (U+{ord(char):04X})", "delete it"
    return None


def open_string(spot: Spot) -> Answer:
    """A string whose closing quote is missing."""
    if spot.in_string:
        match = re.search(r"[\"']", spot.line_text)
        quote = match.group() if match else '"'
        return "a closing quote is missing", f"end the text with {quote} on the same line"
    if not spot.at_end:
        return None
    for token in TOKEN.finditer(spot.text):
        if token.lastgroup == "quote":
            quote = token.group()
            # a lone quote behind an empty string is the third of three that open a long text
            if spot.text[: token.start()].endswith(quote * 2):
                quote *= 3
            line = spot.text.count("\n", 0, token.start()) + 1
            return "a closing quote is missing", f"end the text with {quote}", line
    return None


def backslash(spot: Spot) -> Answer:
    """A backslash in a string that means nothing to TOML."""
    if "Unescaped" in spot.reason or "hex value" in spot.reason or "escape" in spot.reason:
        return "a backslash in the text", "write / in file names, or use single quotes '...'"
    return None


def said_twice(spot: Spot) -> Answer:
    """A key or a table that stands already."""
    inline = re.match(r"Duplicate inline table key '(.*)'", spot.reason)
    if inline:
        return f"{inline[1]} is given twice in one {{ }}", "delete one of them"
    if not ("twice" in spot.reason or "overwrite" in spot.reason or "mutate" in spot.reason):
        return None
    if spot.in_header:
        return _table_twice(spot)
    match = KEY_START.match(spot.line_text)
    if match is None:
        return "a key is given twice", "delete one of them"
    path: Path = (*spot.before.table, *match[1].split("."))
    earlier = Locator(spot.text[: spot.start]).run().lines
    first = line_of(earlier, path)
    return f"{match[1]} is given twice, first on line {first}", "delete one of them"


def _table_twice(spot: Spot) -> Answer:
    name = spot.line_text.strip().strip("[] \t").split("#")[0].strip("] \t")
    last = name.rsplit(".", 1)[-1]
    if last in LIST_WORDS and not spot.line_text.lstrip().startswith("[["):
        return f"a second [{name}] in single brackets", f"write [[{name}]] for each of several"
    earlier = Locator(spot.text[: spot.start]).run()
    first = line_of(earlier.lines, tuple(name.split(".")))
    if spot.line_text.lstrip().startswith("[["):
        return (
            f"{name} is already given on line {first}",
            f"use [[{name}]] each time, without {name} = or [{name}]",
        )
    return f"[{name}] is given twice, first on line {first}", "put all its keys below one header"


def bare_list(spot: Spot) -> Answer:
    """`100, 60, 8` without brackets; two numbers need a space, or it is a decimal comma."""
    if spot.brackets:
        return None
    number = r"[-+]?\d+(?:\.\d+)?"
    match = re.search(
        rf"=[ \t]*({number}(?:,[ \t]+{number}|(?:,[ \t]*{number}){{2,}})+)[ \t]*(?:#|$)",
        spot.line_text,
    )
    if match:
        return "several numbers need square brackets", f"write [{match[1]}]"
    return None


def decimal_comma(spot: Spot) -> Answer:
    """`2,5` (between brackets it is two numbers, and nothing can be said)."""
    if spot.brackets and spot.brackets[-1][0] == "[":
        return None
    match = re.search(r"=[ \t]*([-+]?\d+),(\d+)[ \t]*(?:[,}#]|$)", spot.line_text)
    if match:
        number = f"{match[1]}.{match[2]}"
        return f"{match[1]},{match[2]} has a decimal comma", f"write {number}"
    return None


def header_bracket(spot: Spot) -> Answer:
    """A header that is not closed, or has more behind it."""
    if not spot.in_header:
        return None
    text = spot.line_text.strip()[:60]
    name = re.sub(r"[\[\]]|#.*", "", text).strip()
    double = text.startswith("[[")
    right = f"[[{name}]]" if double else f"[{name}]"
    if re.match(r"\[[^\[\]]+\]\s+\S|\[\[[^\[\]]+\]\]\s+\S", text):
        return "text after the header", "put the header on a line of its own"
    if re.search(r"[\w]\s+[\w]", name):
        return f"the header {text} has a space in its name", "join names in a header with a point"
    return f"the brackets of the header {text} do not match", f"write {right} on a line of its own"


def missing_equals(spot: Spot) -> Answer:
    """A key without its = sign."""
    if spot.char == "=" and "Invalid statement" in spot.reason:
        return "there is no key before =", "write key = value"
    if "Expected '='" not in spot.reason:
        return None
    if spot.char == ":":
        return "a colon after a key", "write = between key and value"
    match = re.search(r"([A-Za-z0-9_-]+(?:[ \t]+[A-Za-z0-9_-]+)+)[ \t]*=", spot.line_text)
    if match and not spot.brackets:
        joined = re.sub(r"[ \t]+", "_", match[1])
        return f"a space in the key {match[1]}", f"write {joined}, or one key on each line"
    return "a key without a value", "write key = value"


def other_comment(spot: Spot) -> Answer:
    """Comments of other languages."""
    if re.match(r"//|/\*|;|%|--", spot.text[spot.at :]) and not spot.brackets:
        return "this is not a comment in TOML", "begin comments with #"
    return None


def one_line_two_keys(spot: Spot) -> Answer:
    """`a = 1 b = 2`."""
    behind = spot.text[spot.at :].split("\n", 1)[0]
    if not spot.brackets and "Expected newline" in spot.reason and KEY_START.match(behind):
        return "two keys on one line", "write one key on each line"
    return None


def bracket_or_comma(spot: Spot) -> Answer:
    """Commas and brackets that are missing or too many."""
    char = spot.char
    if char in ("]", "}") and not spot.brackets:
        return f"{char} closes a bracket that was never opened", f"delete {char}"
    if not spot.brackets:
        return None
    if char == "," or (char in "]}" and spot.text[: spot.at].rstrip().endswith(",")):
        return "too many commas", "write one comma between two values, none before }"
    opened = spot.brackets[-1][0]
    if char in "]}" and char:
        right = {"[": "]", "{": "}"}[opened]
        return f"{char} does not match the bracket {opened}", f"write {right}"
    two_values = r"^[-+\d._]+[ \t]+[-+\d._]+$|[\"'\]}][ \t]|="
    if "Unclosed" in spot.reason and re.search(two_values, spot.value):
        return "a comma is missing between two values", "add it"
    return None


def unquoted(spot: Spot) -> Answer:
    """Values that TOML does not know, or only in quotes."""
    value = spot.value
    if value == "":
        return "the value is missing", "write it after the = sign"
    if value.lower() in ("true", "false", "yes", "no", "on", "off"):
        right = "true" if value.lower() in ("true", "yes", "on") else "false"
        return f"{value} is not a TOML value", f"write {right}"
    shown = value if len(value) <= 40 else f"{value[:40]}..."
    if re.fullmatch(r"[-+]?\.\d+", value):
        return f"{shown} has no digit before the point", f"write {value.replace('.', '0.')}"
    if re.fullmatch(r"[-+]?\d+\.", value):
        return f"{shown} has no digit after the point", f"write {value}0"
    if re.fullmatch(r"[-+]?0[\d]+(\.\d*)?", value):
        sign = value[0] if value[0] in "-+" else ""
        return f"{shown} has a leading 0", f"write {sign}{value.lstrip('-+0') or '0'}"
    if value[-1] in "\"'":
        bare = value.strip("\"'")
        right = f'"{bare} in"' if re.fullmatch(r"[-\d./ ]+", bare) else f'"{bare}"'
        return f"a quote is missing before {shown}", f"write {right}"
    if re.fullmatch(r"[\w.+\-*/() \t]+", value):
        return f"{shown} has no quotes", f'write "{shown}"'
    return None


RULES: tuple[Callable[[Spot], Answer], ...] = (
    huge_number,
    said_twice,
    unclosed_bracket,
    odd_character,
    open_string,
    backslash,
    line_in_table,
    bare_list,
    decimal_comma,
    other_comment,
    header_bracket,
    missing_equals,
    one_line_two_keys,
    bracket_or_comma,
    unquoted,
)
