"""What sees what in a room: rays, form factors, the floor's grid and cells."""
