"""The app: places a fitter works in. It shows what the core works out and decides nothing."""
