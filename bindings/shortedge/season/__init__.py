"""Many plays, from files to files."""
