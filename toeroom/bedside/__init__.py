"""Tests of feeling, blood supply, skin and joints, counted: figures to pass on, never a diagnosis."""
