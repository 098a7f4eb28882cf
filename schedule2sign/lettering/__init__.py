"""Fonts to outlines and pair-by-pair spacing."""
