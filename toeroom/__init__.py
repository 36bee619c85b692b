"""toeroom: footwear for diabetic feet, from a book of pages and rules."""

__version__ = "0.1.0"
