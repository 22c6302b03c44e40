"""Tables, files, rows and progress: what every layer above needs."""
