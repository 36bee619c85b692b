"""The app: places a fitter works in. It shows what the core works out and decides nothing."""

import os

# Textual draws at fixed beats, 60 a second: what a key changed would wait up to 17 ms for the next one.
os.environ.setdefault("TEXTUAL_FPS", "120")
