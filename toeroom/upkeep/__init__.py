"""For who maintains a book: checking, testing and showing its rules."""
