/* cautions.c - what every output says about its own limits (docs/facts.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/cautions.h"

const char *sm_cautions(void)
{
    return "That the true measure lies below a limit does not mean that the artery will be obstructed: this is the "
           "probability of the first, not of the second. The limits come from small, retrospective series, some of "
           "them of native valves. Probabilities are only as good as the readings and the assumptions listed above. "
           "slimmargin supports the judgement of the heart team and never replaces it; local protocols and licensed "
           "practice rule. It is not a medical device and not for autonomous use.";
}

const char *sm_caution_short(void)
{
    return "That a limit is crossed does not mean that the artery will be obstructed.";
}

const char *sm_caution_line(void)
{
    return "Not a medical device. The limits come from small series, some of native valves; the heart team and local "
           "protocol decide.";
}
