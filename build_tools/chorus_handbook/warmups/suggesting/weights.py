"""What each quality of a warm-up is worth: the one table of weights, in points.

A point is worth ten seconds of the time that there is. All of it is our choice; the reason stands
beside each. What a warm-up must have is not weighed but required, in `model`.
"""

from __future__ import annotations

#: Each second left unused, in points for ten seconds: time is there to be used, but a good short
#: warm-up is better than a full one.
UNUSED = 1
SECONDS_A_POINT = 10

#: The season's opener and closer stay as they were: a chorus needs them as a signal.
KEPT = 250
#: For each goal of the music that follows: an item whose main goal it is, and another such item,
#: because one meeting is soon forgotten; an item that has it among others; and each further item
#: that has it at all, up to two.
MAIN_GOAL, MAIN_GOAL_AGAIN, ALSO_GOAL, GOAL_AGAIN = 60, 40, 16, 16
#: The last item or the one before it is for such a goal: it leads into the music.
LEADS_IN = 24

#: The second and third outing of what is settling: repetition is how a chorus learns.
SETTLING = 40
#: What was dropped after a first time long ago, or rests, is worth coming back to, a little.
RESTING = 6
#: What the chorus knows needs no teaching.
KNOWN = 16
#: Sung once or twice in the last four weeks: most of a warm-up stays for three or four weeks.
LATELY = 8
#: From the fourth time within four weeks an item loses its freshness.
OFTEN, OFTEN_TIMES = -14, 4
#: One new item is enough, and a week without one is fine; where its time has come it is welcome.
NEW, NEW_DUE = -20, 18
#: A warm-up neither begins nor ends with what has to be taught.
NEW_AT_AN_END = -50
#: What takes a few tries costs explaining, and what takes some weeks costs more than a warm-up has;
#: by the effort to learn, 1 to 3.
EFFORT = (0, -8, -32)

#: Each of the five families of goals that is served: variety.
FAMILY = 18
#: Of these, one that was served least in the last four weeks.
FAMILY_RESTED = 10
#: Each stage of the build-up that is not left out: body, breath, gentle, light, reach, ears, close;
#: and what is gentle when voices have come late.
STAGE = (30, 16, 36, 24, 8, 20, 60, 24)
#: A voice that comes late sings in a second item too: it is there to sing.
LATE_AGAIN = 120
#: A second item of body or breath, or beyond two in a stage, is a second helping.
STAGE_AGAIN = -10
#: A third item whose main goal is of the same family, unless the music asks for that family.
SAME_FAMILY = -24
#: A second item with the same main goal, unless the music asks for that goal; a second in the same
#: manner of sounding.
SAME_GOAL, SAME_SOUNDING = -16, -8
#: Each change of formation.
CHANGE = -20
#: An exercise stands in the stage that its author names for it, or elsewhere.
MOMENT, ELSEWHERE = 8, -12
#: The shorter run of keys: only where time is short.
SHORTENED = -14
#: When voices are tired, half-closed sounds rest them.
TIRED_HALF_CLOSED = 36
#: Another seed moves each exercise by up to so much.
SEED = 24
