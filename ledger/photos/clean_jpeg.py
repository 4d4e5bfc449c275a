"""Whether a JPEG holds a picture and nothing else: no metadata, no profile, no comment, no picture within the picture.

Markers after ITU T.81, annex B.
"""

_SOI, _EOI, _SOS, _APP0, _COM = 0xD8, 0xD9, 0xDA, 0xE0, 0xFE
_WITHOUT_LENGTH = {0x01, *range(0xD0, 0xD8)}
_PLAIN_APP0 = 16  # a JFIF head without a thumbnail


def is_clean(data: bytes) -> bool:
    """True where every segment is needed to draw the picture and nothing stands behind its end.

    >>> is_clean(b"no picture")
    False
    """
    if data[:2] != bytes((0xFF, _SOI)):
        return False
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            return False
        marker = data[at + 1]
        if marker == _EOI:
            return at + 2 == len(data)
        length = int.from_bytes(data[at + 2 : at + 4])
        is_application = 0xE0 <= marker <= 0xEF
        if marker == _COM or (is_application and (marker != _APP0 or length > _PLAIN_APP0)):
            return False
        at += 2 + length
        if marker == _SOS:
            at = _next_marker(data, at)
    return at + 2 == len(data) and data[at:] == bytes((0xFF, _EOI))


def _next_marker(data: bytes, at: int) -> int:
    """Past the picture's own bytes, in which FF is followed by 00 or by a restart."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            return len(data)
        if data[at + 1] != 0 and data[at + 1] not in _WITHOUT_LENGTH:
            return at
        at += 2
