"""The proved job as work for a mill that is moved by hand: strokes between stops, holes by table.

The strokes are planned anew, from what each feature asks and the cutters, widths and depths that
the proved plan chose: a person dials straight strokes, no path of arcs.
"""
