"""Many plays, from files to files: `inputs` are laid out (`layout`), cut into `pieces` of whole plays, and each piece
is one of the `jobs` that `workers` do.
"""
