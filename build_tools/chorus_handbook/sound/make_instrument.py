"""Makes the instrument that the package contains. Run it with `python -m`."""

from __future__ import annotations

from chorus_handbook.sound.instrument import INDEX_FILE, PACK_FILE, ComputedTones, make_pack

if __name__ == "__main__":
    made = make_pack(ComputedTones())
    INDEX_FILE.write_bytes(made.index)
    PACK_FILE.write_bytes(made.pack)
