"""What each command does, without the reading of its options: a module for each, so that a command loads its own."""
