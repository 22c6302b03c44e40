"""What tables say in words, in cut lists, and to pictures and pages alike."""
