"""Racks of cutters as a strategy, and the workshop file that holds one."""

from __future__ import annotations

from hypothesis import strategies as st

# Slot drills with centre teeth, then end mills without.
MILLS = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0)
DRILLS = (2.0, 2.5, 3.0, 3.3, 4.0, 4.2, 5.0, 5.8, 6.0, 7.8, 8.0)
REAMERS = (6.0, 8.0)
# In every rack: what countersinks come in, and what sizes bores.
SINKS = {82: 11, 90: 12}
BORING = (8.0, 40.0)
# What mills threads: diameter, neck, and a single row of teeth or several.
THREAD_MILLS = (
    (6.0, 4.0, "tip_flat = 0.08\nflute_length = 1.8"),
    (8.0, 6.0, "pitch = 1.5\nflute_length = 9"),
)
# In every rack: a slitting saw's diameter and thickness, and those of its arbor, mm.
SAW, SAW_ARBOR = (50.0, 1.0), 12.0


@st.composite
def racks(draw: st.DrawFn) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Diameters of end mills, drills and reamers."""
    mills = draw(st.lists(st.sampled_from(MILLS), min_size=3, max_size=6, unique=True))
    small = draw(st.sampled_from(MILLS[:2]))
    drills = draw(st.lists(st.sampled_from(DRILLS), min_size=2, max_size=5, unique=True))
    reamers = draw(st.lists(st.sampled_from(REAMERS), max_size=2, unique=True))
    # a reamer without its drill would refuse nearly every reamed hole
    under = {6.0: 5.8, 8.0: 7.8}
    return (
        tuple(sorted({small, *mills})),
        tuple(sorted({*drills, *(under[r] for r in reamers)})),
        tuple(sorted(reamers)),
    )


def workshop_text(
    mills: tuple[float, ...], drills: tuple[float, ...], reamers: tuple[float, ...], dead: bool
) -> str:
    """The workshop file; `dead`: the largest mill does not cut at its centre."""
    lines = [
        'units = "mm"',
        "[machine]",
        "rapid = 1500",
        "feed_max = 600",
        "backlash = { x = 0.02, y = 0.02 }",
        "spindle = { min = 100, max = 3000 }",
        "[[cutter]]",
        "number = 50",
        'kind = "spot drill"',
        "diameter = 10",
        "tip_angle = 90",
    ]
    for number, (angle, wide) in enumerate(SINKS.items(), 60):
        lines += ["[[cutter]]", f"number = {number}", 'kind = "chamfer mill"']
        lines += [f"diameter = {wide}", f"tip_angle = {angle}"]
    lines += ["[[cutter]]", "number = 71", 'kind = "engraving cutter"', "diameter = 6"]
    lines += ["tip_diameter = 0.1", "[[cutter]]", "number = 72", 'kind = "ball-nose end mill"']
    lines += ["diameter = 1", "flute_length = 3"]
    lines += ["[[cutter]]", "number = 70", 'kind = "boring head"', "diameter = 6"]
    lines += [f"range = [{BORING[0]}, {BORING[1]}]", "flute_length = 30"]
    for number, (wide, neck, tooth) in enumerate(THREAD_MILLS, 80):
        lines += ["[[cutter]]", f"number = {number}", 'kind = "thread mill"', f"diameter = {wide}"]
        lines += [tooth, f"neck = {neck}", "reach = 24", "stickout = 30"]
    lines += ["[[cutter]]", "number = 90", 'kind = "slitting saw"', f"diameter = {SAW[0]}"]
    lines += [f"thickness = {SAW[1]}", f"shank = {SAW_ARBOR}", "stickout = 50"]
    lines += [f"nut = {{ diameter = {SAW_ARBOR}, length = 1 }}"]
    rows = [("end mill", d, max(14.0, 3 * d), i + 1) for i, d in enumerate(mills)]
    rows += [("drill", d, 60.0, 20 + i) for i, d in enumerate(drills)]
    rows += [("reamer", d, 30.0, 40 + i) for i, d in enumerate(reamers)]
    for kind, diameter, flutes, number in rows:
        lines += ["[[cutter]]", f"number = {number}", f'kind = "{kind}"']
        lines += [f"diameter = {diameter}", f"flute_length = {flutes}", f"stickout = {flutes + 15}"]
        lines += ["holder = { diameter = 30, length = 40 }"]
        if kind == "end mill":
            centre = "false" if dead and diameter == mills[-1] else "true"
            lines += [f"flutes = 2\ncentre_cutting = {centre}"]
        lines += ["tip_angle = 118"] * (kind == "drill") + ["lead = 1"] * (kind == "reamer")
    return "\n".join(lines) + "\n"
