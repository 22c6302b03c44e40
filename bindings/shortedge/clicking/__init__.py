"""The page in which film is clicked: what it knows of a picture, its server, and the page itself."""
