"""The parts that places are made of."""
