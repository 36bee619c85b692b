"""Numbers of the trade as small pure functions, each with unit, rounding and source."""
