"""Wires the reading back of an output folder to the rules, the font and the braille engine."""
