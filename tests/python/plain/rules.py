"""Rule values and the few fixed tolerances."""

DEFAULTS: dict[str, float] = {
    "reach": 1.04,  # yd, rusher's centre from a blocker's centre when he gets round him
    "body": 0.56,  # yd, the same for men who are not his blocker
    "engage": 1.5,  # yd, a man this near a rusher takes part
    "meet": 1.2,  # yd, contact
    "cushion": 1.0,  # yd, rear of the pocket behind the deepest man
    "detach": 3.5,  # yd, a wider hole than this and the man no longer belongs to the wall
    "arm": 0.8,  # yd, the last of a way that need not be run
    "bow": 0.25,  # yd, how far off the tight line he may run
    "horizon": 1.5,  # s, a way this long is no exposure
    "takeover": 0.3,  # exposure at which another man than the end sets the edge
    "vmax": 9.7,  # yd/s
    "tau": 0.9,  # s
    "a_lat": 6.6,  # yd/s2
    "a_brake": 5.5,  # yd/s2
}

TIME_EPS = 1e-6  # s, times nearer than this are equal
SAME_FRAME = 0.005  # s after a frame's first time
LONGEST_GAP = 0.5  # s, over this nothing is filled in and no velocity window reaches


def with_defaults(rules: dict[str, float] | None) -> dict[str, float]:
    """The defaults with `rules` laid over them. KeyError for an unknown name."""
    unknown = set(rules or {}) - set(DEFAULTS)
    if unknown:
        raise KeyError(f"unknown rules: {sorted(unknown)}")
    return DEFAULTS | (rules or {})
