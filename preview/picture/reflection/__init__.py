"""What the floor's coat mirrors."""
