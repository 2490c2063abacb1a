"""Writes the files of the instrument with computed tones, which the package contains. Run it with
`python -m chorus_handbook.sound.make_instrument` when `tone` has changed."""

from __future__ import annotations

from chorus_handbook.sound.instrument import INDEX_FILE, PACK_FILE, ComputedTones, make_pack

if __name__ == "__main__":
    made = make_pack(ComputedTones())
    INDEX_FILE.write_bytes(made.index)
    PACK_FILE.write_bytes(made.pack)
