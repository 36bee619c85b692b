"""One file a place, its look beside it."""
