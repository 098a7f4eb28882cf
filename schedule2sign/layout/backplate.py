"""The plate behind a sign on glass: the sign's own outline and fixing, nothing on it."""

from dataclasses import replace

from schedule2sign.model.shape import SignLayout

BACK_PLATE = "back-plate"


def make_back_plate(layout: SignLayout) -> SignLayout:
    """The back plate of a sign: same edge, same material, no text, braille, drawing, window or drilling."""
    return replace(
        layout,
        template=BACK_PLATE,
        lines=(),
        braille=(),
        dots=(),
        pictogram=None,
        border=(),
        holes=(),
        window=None,
        visual=(),
        fixing="tape",
        remedies=(),
        flags=(),
    )
