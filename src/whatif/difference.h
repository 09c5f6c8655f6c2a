/* difference.h - what differs between two case files, place by place, and a case with some of it taken over.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_DIFFERENCE_H
#define SM_WHATIF_DIFFERENCE_H

#include "casefile/casefile.h"

/* What a difference can do. */
typedef enum {
    SM_DIFFERS_ANSWER, /* may move the probability */
    SM_DIFFERS_LINE,   /* the action line: moves the call alone */
    SM_DIFFERS_LABEL   /* name, note, alternatives: nothing of the case as planned */
} sm_difference_kind;

typedef struct {
    char *pointer;     /* "/coronaries/left/ostium_gap/readings_mm"; "/profile" for the site profile as a whole */
    char *words;       /* "left ostium gap, readings" */
    sm_datum old, now; /* none if that file does not state it. For the profile: the site's name */
    const char *unit;  /* "" if there is none */
    sm_difference_kind kind;
} sm_difference;

typedef struct {
    int n;
    size_t cap;
    sm_difference *at;
} sm_differences;

/* Every difference, in the order of the old file. SM_REFUSED with a fault in d if the coronaries are not the same.
 */
sm_status sm_differences_find(const sm_casefile *old, const sm_casefile *now, sm_diag *d, sm_differences *out);
void sm_differences_destroy(sm_differences *s);
/* Said to who changes /scan/detector or /scan/kernel to ask about another scan. */
#define SM_SCAN_MADE                                                                                                   \
    "Detector and kernel describe the scan that was made. Changing them over the same readings does not ask what "     \
    "another scan would show: that scan would be read anew."

/* Whether detector or kernel changed over the same readings. */
bool sm_differences_of_scan_alone(const sm_differences *s);

/* The old case with difference i of s taken over; all of them if i is -1. SM_REFUSED with the faults in d if that
 * alone makes no valid case. */
sm_status sm_difference_apply(const sm_casefile *old, const sm_casefile *now, const sm_differences *s, int i,
                              sm_diag *d, sm_casefile **out);

#endif
