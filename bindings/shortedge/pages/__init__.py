"""Pages of HTML that open offline: the player, reports, and the check of the simulator."""
