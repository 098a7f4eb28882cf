"""Draw the README picture from the demo's own SVG files.

Run by hand after a change of looks: `schedule2sign demo && python tests/golden/make_pictures.py`. Needs rsvg-convert.
"""

import base64
import re
import subprocess
import sys
from pathlib import Path

TARGET = Path(__file__).parent / "pictures" / "demo-signs.png"
SIGNS = ("01-103-C", "02-227-C", "01-132-S", "01-106-C", "01-116-C", "02-222-C")
ROW_IN, GAP_IN, DPI = 30.0, 0.4, 48


def place_signs(folder: Path) -> str:
    """One SVG with the signs at one scale, row by row."""
    images, x, y, row_height = [], GAP_IN, GAP_IN, 0.0
    for name in SIGNS:
        (path,) = folder.glob(f"*-{name}.svg")
        text = path.read_text(encoding="utf-8")
        width, height = (float(re.search(rf'{side}="([\d.]+)in"', text)[1]) for side in ("width", "height"))
        if x + width > ROW_IN:
            x, y, row_height = GAP_IN, y + row_height + GAP_IN, 0.0
        data = base64.b64encode(text.encode()).decode()
        images.append(
            f'<image x="{x}" y="{y}" width="{width}" height="{height}" href="data:image/svg+xml;base64,{data}"/>'
        )
        x, row_height = x + width + GAP_IN, max(row_height, height)
    size = (ROW_IN, y + row_height + GAP_IN)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0] * DPI}" height="{size[1] * DPI}" '
        f'viewBox="0 0 {size[0]} {size[1]}"><rect width="100%" height="100%" fill="#ffffff"/>{"".join(images)}</svg>'
    )


if __name__ == "__main__":
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "schedule2sign-demo") / "signs"
    TARGET.parent.mkdir(exist_ok=True)
    subprocess.run(["rsvg-convert", "-o", TARGET], input=place_signs(folder).encode(), check=True)
    print(TARGET)  # noqa: T201
