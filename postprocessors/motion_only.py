"""For a control that moves and does little else: G0, G1, G2, G3 and no other G word.

The other words are those no program can do without: X Y Z, I J for an arc's centre, F; S, M3 and
M5, or nobody knows that the spindle turns; M7 to M9 where the machine has coolant; M0 where the
operator has to do something; M2 at the end. No N, T, H, P, Q or R.

- One cutter a file. It begins with M0: the operator puts the named cutter in, touches it off and
  looks the settings over before anything moves. The first motion is Z up.
- G20, G21, G90, G17 are G words and are left out: such a control refuses them, or passes them
  over, which is worse. It must be *set* to the units, and the header says which, together with
  absolute distances, the plane and all else that no word says. Set to the wrong ones it shows at
  the first motion, Z up to the header's clear height: 25 times too far, or hardly at all. Nothing
  is near the cutter then, and the header says to watch for it.
- Arcs lie in the plane and turn less than once, since some controls take an arc that ends where
  it starts for no motion at all. Helices are chords, holes plain moves, a dwell a slow rise.
"""

from gcodekit.post.contract import Post

post = Post(
    name="motion_only",
    description="G0 to G3 only; the units are set on the control",
    helices=False,
    full_circles=False,
    cycles=(),
    return_levels=False,
    dwells=False,
    tool_change=False,
    one_cutter_a_file=True,
    length_offsets=False,
    decimal_point=True,
    longest_line=80,
    messages=False,
    start=(),
    end=("M2",),
)
