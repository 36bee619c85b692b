"""One file a schema; a released one is never changed."""
