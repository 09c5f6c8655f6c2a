/* settings.h - what the answer hangs on beside its readings: the judged values, one at a time and all at once.
 *
 * A setting is one value for every judged value of the case (lever.h), each drawn over its range with the case's own as
 * its median. All settings and swings use the same draws as the case: their differences from it are known well.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_SETTINGS_H
#define SM_WHATIF_SETTINGS_H

#include "whatif/lever.h"
#include "whatif/versions.h"

/* The number of settings, and the trials of each; trials at the end of each single range. With sharp points, if the
 * case has no second look: tasks of each, and the points of a task. */
enum { SM_SETTINGS = 256, SM_SETTING_TRIALS = 2048, SM_SWING_TRIALS = 8192 };
enum { SM_SETTING_TASKS = 2, SM_SWING_TASKS = 5, SM_VERSION_POINTS = 512 };

/* The patient event with the lever at one end of its range, all else as it is. */
typedef struct {
    bool applies;           /* the end is another value than the case's own, and makes a valid case */
    double value;           /* of the lever */
    double probability;     /* that of the assessment and the paired difference */
    sm_estimate difference; /* end less case */
    bool turns, stays;      /* surely on the other side of the action line than the case, surely on its side: by two
                             * standard errors, of points Student's reach. Neither without a line */
    double at;              /* where on the way it turns, if it does */
} sm_swing_end;

typedef struct {
    sm_lever lever;
    sm_swing_end end[2]; /* low, high */
} sm_swing;

typedef struct {
    double probability;     /* of the assessment, from which the rest is counted */
    int n_swings, n_judged; /* the judged ones first */
    sm_swing *swing;
    int n;                     /* settings that make a valid case; 0: nothing is judged */
    sm_estimate same;          /* the share of them in which the answer lies on the case's own side of the line */
    sm_estimate low90, high90; /* between these the probability lies in 90 of 100 settings */
    double least, most;        /* over all settings, all swings and the published limits */
} sm_settings;

/* a: the assessment of f's case. SM_OK; SM_INTERRUPTED, SM_NO_MEMORY and the like: out is empty. Destroy out in every
 * case. */
sm_status sm_settings_run(const sm_casefile *f, const sm_assessment *a, sm_run_context context, sm_settings *out);
void sm_settings_destroy(sm_settings *s);

/* The call in one of five forms. */
typedef enum {
    SM_FORM_NONE,    /* no action line */
    SM_FORM_UNKNOWN, /* interrupted before the settings were known */
    SM_FORM_ABOVE,   /* in at least 95 of 100 settings, by the other published limits, and whatever walls are bright */
    SM_FORM_BELOW,
    SM_FORM_ABOVE_HANGS_ON, /* else, also where one of these cannot be told */
    SM_FORM_BELOW_HANGS_ON,
    SM_FORM_OPEN /* the run does not know on which side it lies, or two looks are opposed */
} sm_form;

enum { SM_TOLD_TURNS = 3 };

/* What the call hangs on. */
typedef struct {
    sm_form form;
    bool on_settings, on_limits, on_walls; /* the judged values all at once; the limits; whether a wall is bright */
    int n_turns;                           /* single ends that turn it */
    int n_told;                            /* the first of them, those that need the least of their range: */
    struct {
        int swing, end;
    } told[SM_TOLD_TURNS];
} sm_hold;

/* s: NULL if it is not known. */
sm_hold sm_hold_of(const sm_assessment *a, const sm_settings *s);

#endif
