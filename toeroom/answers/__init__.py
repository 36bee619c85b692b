"""Understanding a text, answering from the handbook, holding a conversation."""
