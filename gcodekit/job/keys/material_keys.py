"""The keys of a material of the workshop's own."""

from __future__ import annotations

from gcodekit.job.keys.keys import Key, KeyTable

MATERIAL = KeyTable(
    "[[material]]",
    (
        Key(name="name", kind="text", required=True, meaning="name used in jobs"),
        Key(name="aliases", kind="texts", meaning="other names for it"),
        Key(name="like", kind="text", meaning="known material to take all other figures from"),
        Key(name="density", kind="number", over=0, most=25_000, meaning="density, kg/m3"),
        Key(name="milling", kind="table", meaning="cutting speeds of milling cutters"),
        Key(name="drilling", kind="table", meaning="cutting speeds of drills"),
        Key(name="reaming", kind="table", meaning="cutting speeds of reamers"),
        Key(
            name="chip_load",
            kind="number",
            least=0.0005,
            most=0.05,
            meaning="feed per tooth of a full-width cut, divided by the cutter's diameter",
        ),
        Key(
            name="drill_feed",
            kind="number",
            least=0.001,
            most=0.1,
            meaning="feed per revolution of a drill, divided by its diameter",
        ),
        Key(
            name="slot_depth",
            kind="number",
            least=0.01,
            most=1,
            meaning="depth of a full-width cut on a light machine, divided by the diameter",
        ),
        Key(
            name="peck",
            kind="number",
            least=0.1,
            most=5,
            meaning="depth of one peck, divided by the drill's diameter",
        ),
        Key(name="ramp", kind="angle", least=0.2, most=20, meaning="steepest ramp angle"),
        Key(
            name="kc",
            kind="number",
            least=50,
            most=10_000,
            meaning="specific cutting force kc1.1, N/mm2",
        ),
        Key(
            name="mc",
            kind="number",
            least=0,
            most=0.5,
            meaning="exponent mc of the specific cutting force",
        ),
        Key(
            name="energy",
            kind="number",
            least=0.05,
            most=20,
            meaning="cutting energy, J/mm3, instead of kc and mc",
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
                meaning=f"cutting speed with {tool} cutters, m/min; ft/min in an inch file",
            )
            for tool in ("hss", "carbide")
        ),
        "[[material]]",
    )


MILLING = _of_tools("milling")
DRILLING = _of_tools("drilling")
REAMING = _of_tools("reaming")
OF_TOOLS = {"milling": MILLING, "drilling": DRILLING, "reaming": REAMING}
