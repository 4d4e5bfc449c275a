import re

import pytest

from ledger.paper.barcode import MOST_MODULES, qr_svg
from ledger.paper.text import PaperError
from vouchers.labels.sizes import A4_PACKET_LABEL


def test_the_drawing_keeps_four_white_modules_round_the_code():
    svg = qr_svg("TFG 2026-0118")
    assert 'width="29" height="29"' in svg  # 21 modules of version 1 and 4 on each side, ISO/IEC 18004
    starts = [(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)", svg)]
    assert (min(x for x, _ in starts), min(y for _, y in starts)) == (4, 4)


def test_a_module_is_never_finer_than_four_tenths_of_a_millimetre():
    assert A4_PACKET_LABEL.code_mm / MOST_MODULES >= 0.4


@pytest.mark.parametrize("length", [100, 5000])
def test_a_code_too_fine_to_be_read_is_refused(length):
    with pytest.raises(PaperError, match=f"{length} characters"):
        qr_svg("ä" * length)


def test_a_code_of_nothing_is_refused():
    with pytest.raises(PaperError):
        qr_svg("")
