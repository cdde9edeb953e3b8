"""How bars were formed: what decides which drying shrinkages are usual, and whether a dry bar may be the longer one."""

from bodytest.lab.record import Choice

PRESSED = "pressed"
"""Dry or dust-pressed in a die: the wet length is the die's, and a bar that leaves it springs back."""
FORMING = Choice("forming", "forming", ("plastic", PRESSED, "cast", "extruded"), {}, ("way of forming",))
