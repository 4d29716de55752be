"""What is on file: one job with every figure traced, and the firm's state at a glance."""
