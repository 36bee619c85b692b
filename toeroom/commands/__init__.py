"""The commands, one file a subject; thin: they read what was asked and show what the core says."""
