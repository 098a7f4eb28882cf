"""An SVG as PNG, by the renderer of the optional extra `png`."""

from schedule2sign.errors import InputError


def render_png(svg: bytes, dpi: float) -> bytes:
    """Pixels of a picture measured in inches.

    Raises:
        InputError: the renderer is not installed.
    """
    try:
        import resvg_py
    except ImportError:
        raise InputError(
            "PNG needs the renderer of the extra 'png': python3 -m pip install 'schedule2sign[png]'. "
            "SVG and PDF need nothing more."
        ) from None
    return bytes(resvg_py.svg_to_bytes(svg_string=svg.decode(), dpi=96.0, zoom=dpi / 96.0))
