"""Files: cut drawings written, read back and measured."""
