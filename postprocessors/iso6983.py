"""Word-address code as ISO 6983-1 describes it, and nothing beyond.

What is taken for granted of a control of that kind, and what is not:

- A program begins with %, ends with M30; the last % is the end of the tape. Blocks are numbered,
  N being the line of the file. G and M have two digits, every coordinate its decimal point, so
  that no control can take a whole number for increments of its own.
- G00 to G04, G17, G40, G54 to G59, G80 to G83, G90, G94; M00, M03, M05 to M09, M30. Units by G20
  and G21, as RS-274 has them: the program is read back, and no reader may be in doubt of its units.
  Dwells P in seconds.
  The cycles counted as basic are drilling: G81, G82 with a dwell, G83 with pecks. Boring and
  reaming come out at the feed (G85, G89) in plain moves.
- No return levels G98 and G99: a cycle starts from its own R level, where every control returns.
- Arcs lie in the plane and turn less than once: a full circle is two arcs, a helix is chords.
- No length offset by H, no exact path word, no message to the screen: comments stand between
  control-out and control-in, and the header asks for what the blocks cannot say.
"""

from gcodekit.post.contract import Post

post = Post(
    name="iso6983",
    description="word-address code of ISO 6983-1, numbered blocks",
    helices=False,
    full_circles=False,
    cycles=("G81", "G82", "G83"),
    return_levels=False,
    length_offsets=False,
    decimal_point=True,
    line_numbers=1,
    two_digits=True,
    # what the buffers of older controls hold
    longest_line=80,
    messages=False,
    lead=("%",),
    start=("G17 {units} G90 G94 G40 G80", "{work_offset}"),
    end=("M30", "%"),
)
