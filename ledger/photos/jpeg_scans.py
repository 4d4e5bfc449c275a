"""Whether a JPEG comes in one go, row by row, or has to be held whole in memory before its first pixel is known."""

_STANDALONE = {0x01, *range(0xD0, 0xD9)}
_FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}
_STEP_BY_STEP = {0xC2, 0xC6, 0xCA, 0xCE}
_SCAN = 0xDA
_COEFFICIENT_BYTES = 2


def held_bytes_per_pixel(data: bytes) -> float:
    """Bytes per pixel that a decoder holds until the file has ended: 0 where it can write row by row.

    A file whose picture comes in several scans (progressive, or one colour after the other) is held as coefficients of 16
    bits, 3 bytes a pixel with colours of half the size and 6 with whole ones (ITU-T T.81, markers of annex B, from memory).
    Answers 0 for a header that is no JPEG's or is cut short: then nothing is decoded either.
    """
    at, kind, parts = 2, 0, b""
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF or marker in _STANDALONE:
            at += 1 if marker == 0xFF else 2
            continue
        body = data[at + 4 : at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")]
        if marker in _FRAMES and len(body) > 5:
            kind, parts = marker, body[6 : 6 + 3 * body[5]]
        if marker == _SCAN:
            in_one_go = kind not in _STEP_BY_STEP and body[:1] == bytes([len(parts) // 3])
            return 0.0 if in_one_go else _coefficients(parts[1::3])
        at += 2 + max(2, int.from_bytes(data[at + 2 : at + 4], "big"))
    return 0.0


def _coefficients(samplings: bytes) -> float:
    """`samplings`: for each colour how often it is sampled across (high half of the byte) and down (low half)."""
    each = [((one >> 4) or 1, (one & 15) or 1) for one in samplings]
    if not each:
        return 0.0
    most = max(across for across, _ in each) * max(down for _, down in each)
    return _COEFFICIENT_BYTES * sum(across * down for across, down in each) / most
