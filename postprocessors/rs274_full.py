"""The language as NIST published it (NISTIR 6556, August 2000), all of it.

A control that lacks something gets a copy of this file under another name: put it in a folder of
your own, change `name`, say what is missing (helices=False, cycles=(), ...), and use it with
`--posts FOLDER --post NAME`. Whatever is missing is written in plain moves.
"""

from gcodekit.post.contract import Post

post = Post(
    name="rs274_full",
    description="RS-274 as published by NIST, all of it",
    # Three decimals of a millimetre break the 0.002 mm arc rule now and then.
    decimals_mm=4,
    decimals_inch=5,
    start=(
        "G17 {units} G90 G94 G40 G49 G80",
        # Exact path: with G64 a control may round corners by as much as it likes, and what was
        # proved would not be what is cut.
        "{work_offset} G61",
    ),
    # M2 and not M30, which also shuttles a pallet on controls that have one.
    end=("M2",),
)
