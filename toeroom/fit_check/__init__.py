"""The fit check at hand-over: what is looked at, how it stands in a case file, how it is judged.

A case carries it in its `fit_check` block. The plan never reads it.
"""
