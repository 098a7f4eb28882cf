"""Pure maths in millimetres: boxes, rings, dot grids."""
