/* cautions.c - what every output says last.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/cautions.h"

const char *sm_cautions(void)
{
    return "The limits come from small series that look back, partly of patients with their own valves. The "
           "probability that "
           "the true measure is below a limit is not the probability of a blocked coronary artery. This program "
           "supports the "
           "judgement of the heart team and never replaces it; local protocols and licensed practice rule. It is not a "
           "medical "
           "device and not for use on its own.";
}
