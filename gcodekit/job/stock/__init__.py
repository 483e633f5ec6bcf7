"""The raw stock, how it lies and is held in each set-up, and what set-ups have left of it."""
