"""Many rooms at once, each as its own command would make it: on this machine, or on others through a scheduler."""
