"""Plain text of a workbook is taken by a short way: it must say what openpyxl says by its own."""

import xml.etree.ElementTree as ET

import pytest
from openpyxl.cell.rich_text import CellRichText
from openpyxl.worksheet._reader import parse_richtext_string

from schedule2sign.intake.richtext import plain_at_once

SPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


@pytest.mark.parametrize(
    "inner",
    [
        "<t>LOBBY</t>",
        '<t xml:space="preserve"> LOBBY  2 </t>',
        "<t>R&amp;D\n2</t>",
        "<t>A_x005F_B</t>",
        "<t/>",
        "",
        "<t>LOBBY</t><phoneticPr fontId='1'/>",
        "<t>LOBBY</t><rPh sb='0' eb='1'><t>ROBI</t></rPh>",
        "<r><t>OFFICE</t></r>",
        "<r><rPr><strike/></rPr><t>OFFICE</t></r><r><t> STORAGE</t></r>",
        "<t>OFFICE</t><r><t> STORAGE</t></r>",
        "<other>LOBBY</other>",
    ],
)
def test_the_short_way_says_the_same(inner):
    node = ET.fromstring(f'<is xmlns="{SPACE}">{inner}</is>')
    whole = parse_richtext_string(node)
    with plain_at_once():
        short = parse_richtext_string(node)
    assert (type(short), str(short)) == (type(whole), str(whole))


def test_what_openpyxl_refuses_is_refused():
    node = ET.fromstring(f'<is xmlns="{SPACE}" odd="1"><t>LOBBY</t></is>')
    with plain_at_once(), pytest.raises(TypeError):
        parse_richtext_string(node)


def test_openpyxl_is_left_as_it_was():
    method = CellRichText.__dict__["from_tree"]
    with plain_at_once():
        assert CellRichText.__dict__["from_tree"] is not method
    assert CellRichText.__dict__["from_tree"] is method
    with pytest.raises(ValueError, match="broken"), plain_at_once():
        raise ValueError("broken")
    assert CellRichText.__dict__["from_tree"] is method
