"""Sheet: pieces laid out on stock."""
