"""The keys of a material of the workshop's own."""

from __future__ import annotations

from gcodekit.job.keys.keys import Key, KeyTable

MATERIAL = KeyTable(
    "[[material]]",
    (
        Key(name="name", kind="text", required=True, meaning="what jobs call it"),
        Key(name="aliases", kind="texts", meaning="other names for it"),
        Key(name="like", kind="text", meaning="a known material; only what differs is then given"),
        Key(name="density", kind="number", over=0, most=25_000, meaning="kg/m3"),
        Key(name="milling", kind="table", meaning="cutting speeds of mills"),
        Key(name="drilling", kind="table", meaning="cutting speeds of drills"),
        Key(name="reaming", kind="table", meaning="cutting speeds of reamers"),
        Key(
            name="chip_load",
            kind="number",
            least=0.0005,
            most=0.05,
            meaning="feed per tooth of a full-width cut, as a share of the cutter's diameter",
        ),
        Key(
            name="drill_feed",
            kind="number",
            least=0.001,
            most=0.1,
            meaning="feed per turn of a drill, as a share of its diameter",
        ),
        Key(
            name="slot_depth",
            kind="number",
            least=0.01,
            most=1,
            meaning="depth of a full-width cut on a light machine, as a share of the diameter",
        ),
        Key(
            name="peck",
            kind="number",
            least=0.1,
            most=5,
            meaning="depth of one peck, as a share of the drill's diameter",
        ),
        Key(name="ramp", kind="angle", least=0.2, most=20, meaning="steepest ramp"),
        Key(name="kc", kind="number", least=50, most=10_000, meaning="kc1.1 in N/mm2"),
        Key(name="mc", kind="number", least=0, most=0.5, meaning="by how much kc falls with chips"),
        Key(
            name="energy",
            kind="number",
            least=0.05,
            most=20,
            meaning="J/mm3 at the cutter, instead of kc and mc",
        ),
    ),
)


def _of_tools(header: str) -> KeyTable:
    """Surface speeds by what the cutter is made of."""
    return KeyTable(
        header,
        tuple(
            Key(
                name=tool,
                kind="number",
                least=0.5,
                most=10_000,
                meaning=f"with {tool}: m/min, or feet a minute",
            )
            for tool in ("hss", "carbide")
        ),
        "[[material]]",
    )


MILLING = _of_tools("milling")
DRILLING = _of_tools("drilling")
REAMING = _of_tools("reaming")
OF_TOOLS = {"milling": MILLING, "drilling": DRILLING, "reaming": REAMING}
