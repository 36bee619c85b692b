"""The record store: every version of every case, who made it, and the plan as it was then.

`toeroom.records.store` is what others use: `open_store`, then `load`, `save`, `history`, `documents`.
"""
