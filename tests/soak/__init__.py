"""Long runs that look for what breaks the program; each is a command of its own, and a short one of each is a test."""
