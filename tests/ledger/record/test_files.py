import gzip

import pytest

from ledger.record.files import RecordFileError, read_decay_scales, read_flag_table, read_hosts, read_land

READERS = {
    "flags.json": read_flag_table,
    "decay_scales.json": read_decay_scales,
    "hosts.csv": read_hosts,
    "land/land-50m.json.gz": read_land,
}


@pytest.mark.parametrize("name", READERS)
def test_a_missing_file_is_named(name, tmp_path):
    with pytest.raises(RecordFileError, match=f"{name.split('/')[-1]} is missing"):
        READERS[name](tmp_path)


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize("content", [b"", b"[1]", b"{}", b"genus\nFagus\n", b"\xff\xfe"])
def test_a_broken_file_is_named(name, content, tmp_path):
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(gzip.compress(content) if name.endswith(".gz") else content)
    with pytest.raises(RecordFileError, match=f"{path.name} cannot be used"):
        READERS[name](tmp_path)


def test_a_cut_off_packed_file_is_named(tmp_path):
    path = tmp_path / "land" / "land-50m.json.gz"
    path.parent.mkdir()
    path.write_bytes(gzip.compress(b'{"type": "Topology"}')[:-6])
    with pytest.raises(RecordFileError, match="cannot be used"):
        read_land(tmp_path)
