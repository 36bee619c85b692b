"""Rules: reading them, running them twice over, explaining what they said."""
