/* guarded.h - how much a gap must read for the case to fall below the action line (model.md section 6).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_GUARDED_H
#define SM_DECISION_GUARDED_H

#include "engine/run.h"
#include "engine/sobol.h"

typedef enum {
    SM_GUARD_FOUND,
    SM_GUARD_NO_OSTIUM, /* no coronary leaves this sinus: its gaps decide nothing, and it has none beside an ostium */
    SM_GUARD_NOT_READ,  /* the gap is given as a distribution: there is no reading to compare with */
    SM_GUARD_ALWAYS_BELOW,    /* below the line whatever this gap reads: the cover decides, or nothing does */
    SM_GUARD_OTHER_SIDE,      /* another side alone keeps the case at or above the line */
    SM_GUARD_OTHER_RULE,      /* this side's other rule alone does */
    SM_GUARD_BELOW_WITH_LOOK, /* below the line as long as this gap agrees with its second look */
    SM_GUARD_LOOK,            /* the second look at this gap does: the more the gap reads, the less it is believed */
    SM_GUARD_TOGETHER         /* what else can happen, taken together, does */
} sm_guard_kind;

typedef struct {
    sm_guard_kind kind;
    sm_estimate at; /* mm; if found */
    double reading; /* the present reading, mm */
    double sd;      /* of the reading's own error, mm; 0 if the gap is not read */
    int other_side; /* SM_GUARD_OTHER_SIDE */
} sm_guard;

/* By side and gap (sm_gap_id). q: the action line. The probability is looked for at readings between -5 and 30 mm: the
 * smallest reading above which it stays below q. How many trials that takes is decided here, not by context.trials;
 * context.points says whether it is few sharp points (unless there is a second look) or counted trials. */
sm_status sm_guarded_run(const sm_case *c, double q, sm_run_context context, sm_guard (*out)[SM_GAPS]);

/* What keeps the case where it is, in words for a report; "" if a reading was found. other: the name of side
 * g->other_side. At most size bytes. */
void sm_guard_words(const sm_guard *g, sm_gap_id gap, const char *other, char *out, size_t size);

#endif
