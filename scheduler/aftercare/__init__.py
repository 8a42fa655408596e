"""What a planting is given once it stands, when it can be picked, and how much to expect of it."""
