"""A text and a card whose conversion is worked out by hand, and the trigonometry of a slipped foot.

1 in = 25.4 mm, international yard and pound agreement, 1959. Scores at 1/2, 1 and 4 1/4 in are
12.7, 25.4 and 107.95 mm; the strip of 4 3/4 in is 120.65 mm. Rounded one by one they are 13, 25,
108 and 121: the shelf is 25 - 13 = 12 while the foot, 1/2 in from the fold, is marked 13 mm out.
A bottom tab of 121 - 108 = 13 mm does not fit under a shelf of 12. To mend that with a shelf of
12 the strip would be 120 (0.65 off) or a score 109 (1.05 off); with a shelf of 13 the second score
is 26, 0.6 off, which is the least.
"""

import math

TEXT = """A gate for the Tidewell green
Cut the back 5 x 7 1/2 in and score it at 6 in. Cut a clear front 5 x 5 7/8 in.
Cut a strip 4 7/8 x 4 3/4 in and score it at 1/2, 1 and 4 1/4 in.
Leave 2 at each side <b>for the posts</b>, use 3 sheets and wait 10 minutes."""


def law_of_cosines(foot, shelf, face):
    """Degrees at which shelf and face lie in one line.

    The shelf is glued foot + face - shelf up what stands behind it, so that the card closes flat.
    """
    height = foot + face - shelf
    return math.degrees(math.acos((foot**2 + height**2 - (shelf + face) ** 2) / (2 * foot * height)))
