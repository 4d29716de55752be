"""What the firm's work earns: by kind of job and day, against overhead, and what comes off it."""
