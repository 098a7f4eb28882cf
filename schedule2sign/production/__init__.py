"""Released signs to the bench: cutter paths, drilling order, dome height, sheets, time, material and bench papers."""
