"""What a key is called wherever the app names one."""

from __future__ import annotations

from textual.keys import format_key

NAMES = {"escape": "Esc", "enter": "Enter", "tab": "Tab", "delete": "Del", "space": "Space"}


def key_name(key: str) -> str:
    """`^s` for ctrl+s, `F5`, `Esc`, `/` for slash; another key as Textual calls it."""
    if key.startswith("ctrl+"):
        return f"^{key_name(key.removeprefix('ctrl+'))}"
    if key[0] == "f" and key[1:].isdigit():
        return key.upper()
    return NAMES.get(key) or format_key(key)
