"""What a player's report says: of a whole part, of each excursion, and of what is left to decide."""
