"""How a store's tables came about, step by step; Alembic runs them."""
