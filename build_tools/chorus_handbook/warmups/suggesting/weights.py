"""How many points each quality of a suggested warm-up is worth: the only table of them.

A point is worth as much as ten seconds of the time that is used; negative points count against a
warm-up. All numbers are our choice, with the reason beside each. What a warm-up must have gets no
points: it is a condition (`conditions`).
"""

from __future__ import annotations

#: How many seconds of used time one point stands for: time is there to be used, but a good short
#: warm-up is better than a full one.
SECONDS_A_POINT = 10

#: The season's opener and closer stay as they were: a chorus needs them as a signal.
KEPT = 250
#: For each goal of the music that follows: an item whose main goal it is, and another such item,
#: because one meeting is soon forgotten; an item that has it among others; and each further item
#: that has it at all, up to two.
MAIN_GOAL, MAIN_GOAL_AGAIN, ALSO_GOAL, GOAL_AGAIN = 100, 60, 16, 16
#: The last item or the one before it is for such a goal: it leads into the music.
LEADS_IN = 24
#: Quick or lively singing when the music asks for nothing of the kind: a leap of character, after
#: which a chorus has to be brought back to the calm it is there for.
RESTLESS = -40

#: An item that is sung for the second or third time: repetition is how a chorus learns.
SETTLING = 40
#: An item that has not been sung for eight weeks or more: it is worth coming back to, a little;
#: more if it was learned before, because then it comes back quickly.
RESTING, RESTING_LEARNED = 6, 14
#: An item that the chorus knows: it needs no teaching.
KNOWN = 16
#: An item sung one to three times in the last four weeks: most of a warm-up stays for some weeks.
LATELY = 8
#: An item sung `OFTEN_TIMES` times or more in the last four weeks: it has lost its freshness.
OFTEN, OFTEN_TIMES = -14, 4
#: A new item, because a week without one is fine; and what is added if nothing has been new for two
#: weeks.
NEW, NEW_DUE = -20, 18
#: A new item at the beginning or the end, where nothing should have to be taught.
NEW_FIRST, NEW_LAST = -50, -50
#: A new item while a voice is still to come: it would have to be taught twice.
NEW_TO_SOME = -60
#: An item in parts while a voice is still to come: a chord is tuned when all of it is there.
PARTS_WITHOUT = -60
#: A new item that serves no goal of the music, where the music asks for any: what is taught should
#: be of use that evening. And a new item after a break: a chorus comes back to what it knows.
NEW_ASIDE, NEW_AFTER_BREAK = -100, -200
#: An item for the first goal of the music that is not new: known ground for what matters most.
KNOWN_GROUND = 24
#: By the effort to learn an item, 1 to 3: what takes a few tries has to be explained, and what
#: takes some weeks needs more time than a warm-up has. What was learned before it rested counts as
#: known.
EFFORT = (0, -8, -32)

#: Each of the five families of goals that some item serves: variety.
FAMILY = 18
#: In addition, for each family that was sung for least in the last four weeks.
FAMILY_RESTED = 10
#: Each stage of the build-up that is not left out: body, breath, gentle, light, reach, ears, close;
#: and something gentle once late voices have come.
STAGE = (30, 16, 36, 24, 8, 20, 60, 24)
#: A voice that comes late sings in a second item too: it is there to sing.
LATE_AGAIN = 120
#: A light line with an open mouth for a voice that has come late, among what follows.
LATE_LINE = 80
#: What is lacking of the singing that a late voice needs: half-seconds (so 10 points for 10 s).
LATE_LACKS = -10
#: An open line that is known, before the close: not only closed mouths.
OPEN_LINE = 70
#: Each half-second left over beyond a tenth of the time (so a point for 10 s), and each that is
#: spent without the voice beyond a quarter of it (20 points for 10 s).
LEFT_OVER, SILENT = -1, -20
#: Each further item in the stages of body and breath: one of each is enough.
STAGE_AGAIN = -10
#: Each item beyond two whose main goal is of the same family, unless the music asks for that
#: family.
SAME_FAMILY = -24
#: Each item beyond one with the same main goal, unless the music asks for that goal; and each
#: beyond one in the same manner of sounding.
SAME_GOAL, SAME_SOUNDING = -16, -8
#: Each change of formation.
CHANGE = -20
#: In addition, a change right before the last item: what is quiet by then stays quiet.
CHANGE_LAST = -40
#: An exercise in a stage that its author means it for, and one in a stage that does not suit that.
MOMENT, ELSEWHERE = 8, -12
#: An item in fewer keys than it might have: that is only for when time is short.
SHORTENED = -14
#: A half-closed item when voices are tired: it rests them.
TIRED_HALF_CLOSED = 36
#: With a seed other than 0, each exercise gets up to this many points more, at random.
SEED = 24
