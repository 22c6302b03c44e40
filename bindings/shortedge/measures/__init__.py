"""What is measured of a game: frames, edges, rushers, reps, drops and speeds; kept and read again."""
