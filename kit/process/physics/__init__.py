"""What is true of air, heat, salt, water, smoke, wood and fish flesh."""
