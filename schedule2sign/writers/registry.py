"""Every writer, by hand, in the order they run: what takes longest to render stands before the many small files."""

from schedule2sign.writers.bench_papers import BenchPapers
from schedule2sign.writers.changes import Changes
from schedule2sign.writers.checks import Checks
from schedule2sign.writers.coupon import CouponDxf
from schedule2sign.writers.flagged import Flagged
from schedule2sign.writers.manifest import Manifest
from schedule2sign.writers.proof import Proof
from schedule2sign.writers.protocol import Writer
from schedule2sign.writers.read_me import ReadMe
from schedule2sign.writers.rebuild import Drawings, Works
from schedule2sign.writers.report import Report
from schedule2sign.writers.risk_sheet import RiskSheet
from schedule2sign.writers.sheets import Sheets
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_list import SignListWriter
from schedule2sign.writers.sign_svg import SignSvg
from schedule2sign.writers.take_off import TakeOff

WRITERS: tuple[Writer, ...] = (
    ReadMe(),
    Flagged(),
    Report(),
    Proof(),
    Checks(),
    SignListWriter(),
    RiskSheet(),
    BenchPapers(),
    Works(),
    Drawings(),
    SignDxf(),
    SignSvg(),
    Sheets(),
    CouponDxf(),
    TakeOff(),
    Changes(),
    Manifest(),
)

# Paths of a released sign's production files; {id} is the sign id.
SIGN_FILES = tuple(f"signs/{{id}}{suffix}" for suffix in (SignDxf.suffix, SignSvg.suffix))
