"""The stock that is left after each set-up, as a solid.

A second opinion: raw stock less every feature's own volume, in set-up order, worked out from the
drawing with manifold3d and Clipper2 alone. Planning never imports it.
"""
