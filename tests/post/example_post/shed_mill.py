"""A post of one's own, complete: the control of an invented mill in a shed.

Copy this file into a folder of yours under your mill's name, change the name below to match, and
state what your control has. Everything left out is as in `postprocessors/rs274_full.py`; every
value is explained in `gcodekit/post/contract.py`. Then

    gcodekit posts --posts FOLDER
    gcodekit make JOB --out DIR --posts FOLDER --post NAME

or name the folder once in GCODEKIT_POSTS. The `pyproject.toml` beside this file makes the same
post a package that needs neither: once installed, it is found by its name.
"""

from gcodekit.post.contract import Post

post = Post(
    name="shed_mill",
    description="example of a user's own post",
    # Whatever the job is drawn in, this control is given millimetres.
    units="mm",
    decimals_mm=3,
    # It drills in one go by itself; pecks and reaming are written out for it. It knows no G4:
    # where a dwell is wanted the cutter rises a hair, slowly.
    cycles=("G81",),
    dwells=False,
    # Helices are cut in chords no further off than this, in mm.
    helices=False,
    chord_error=0.004,
    # Lengths are touched off at every change.
    length_offsets=False,
    # The screen shows nothing; what stands after a semicolon is for the person at the machine.
    comments="semicolon",
    messages=False,
    line_numbers=5,
    longest_line=72,
    file_ending=".tap",
    lead=("%",),
    start=("G17 {units} G90 G94", "G40 G49 G80", "{work_offset} G61"),
    end=("M30", "%"),
)
