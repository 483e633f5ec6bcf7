"""Elements of HTML pages."""

from __future__ import annotations

from html import escape


def element(name: str, *inside: str, **attributes: str) -> str:
    """An element round markup; a name that Python keeps for itself ends in an underscore.

    Examples
    --------
    >>> element("a", "zero", href="#zero", class_="here")
    '<a href="#zero" class="here">zero</a>'
    """
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(text)}"' for key, text in attributes.items()
    )
    return f"<{name}{given}>{''.join(inside)}</{name}>"
