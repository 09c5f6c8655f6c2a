/* knob.h - what of a case can be turned: named quantities and settings, and any JSON pointer into the case.
 *
 * A knob at a value is a list of overrides: the case is read again with them, so that defaults and checks hold as for
 * any case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_KNOB_H
#define SM_WHATIF_KNOB_H

#include "casefile/casefile.h"

/* How a value is put into the case. */
typedef enum {
    SM_KNOB_EXACT,   /* the number stands in place of what the case has: known exactly */
    SM_KNOB_TIMES,   /* what the case has, made so many times as large */
    SM_KNOB_CENTRE,  /* what the case has, moved so that its mean (a reading's estimate) is the value; spread kept */
    SM_KNOB_TILT,    /* degrees of tilt, SD per axis, in either form of the base plane */
    SM_KNOB_READERS, /* both SDs of every reading, made so many times as large */
    SM_KNOB_POINTER  /* the number stands at a JSON pointer */
} sm_knob_act;

/* A knob of one case. */
typedef struct {
    char *name;       /* as on the command line: "blooming", "left.ostium_gap", "/implant/flare" */
    char *pointer;    /* where it acts first */
    char *words;      /* "blooming", "the left gap beside the ostium" */
    const char *verb; /* "were", "read": the call would change if WORDS VERB above ... */
    const char *unit; /* "mm", "mm per edge", "degrees", "times", "" */
    double low, high; /* what is possible at all */
    bool has_own;     /* the case as it is lies on the curve, */
    double own;       /* here */
    sm_datum stated;  /* if it does not: what the case has instead */
    bool has_range;   /* docs/facts.md gives a range: */
    double from, to;
    sm_knob_act act;
    int side, quantity; /* of the reading of a coronary's quantity; -1 */
} sm_knob;

/* Finds the knob of that name in this case. SM_USAGE if there is none of that name, SM_REFUSED if this case holds
 * it fixed; either with one fault in d. Destroy out in every case. */
sm_status sm_knob_find(const sm_casefile *f, const char *name, sm_diag *d, sm_knob *out);
void sm_knob_destroy(sm_knob *k);

/* Whether two knobs act on the same place of the case. */
bool sm_knob_clash(const sm_knob *a, const sm_knob *b);

/* The case with n knobs at their values. SM_REFUSED with the faults in d if that makes no valid case. */
sm_status sm_knob_case(const sm_casefile *f, const sm_knob *const *knob, const double *value, int n, sm_diag *d,
                       sm_casefile **out);

/* The named knobs in the order of their table; NULL past the last. */
const char *sm_knob_name(size_t i);

#endif
