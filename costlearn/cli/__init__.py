"""The outside edge: arguments, files, screen, exit codes."""
