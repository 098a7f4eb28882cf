"""Every writer, by hand, in the order they run."""

from schedule2sign.writers.flagged import Flagged
from schedule2sign.writers.manifest import Manifest
from schedule2sign.writers.protocol import Writer
from schedule2sign.writers.read_me import ReadMe
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_list import SignListWriter
from schedule2sign.writers.sign_svg import SignSvg

WRITERS: tuple[Writer, ...] = (ReadMe(), Flagged(), SignListWriter(), SignDxf(), SignSvg(), Manifest())

# Paths of a released sign's production files; {id} is the sign id.
SIGN_FILES = tuple(f"signs/{{id}}{suffix}" for suffix in (SignDxf.suffix, SignSvg.suffix))
