/* result_json.h - the result of a run as JSON: "The result" of docs/case-format.md.
 *
 * The parts that every command shares stand here; a command adds its own (what to measure again, alternatives, a sweep)
 * through sm_result_part, with the same helpers for probabilities, continuous outputs and estimates.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_RESULT_JSON_H
#define SM_REPORT_JSON_RESULT_JSON_H

#include "engine/assess.h"
#include "casefile/casefile.h"
#include "format/json_write.h"
#include "whatif/settings.h"

/* What was run and what came of it. Everything is borrowed. */
typedef struct {
    const sm_case *c;
    const char *case_sha256, *profile_sha256; /* the latter NULL if there is none */
    const sm_assumption *assumption;
    size_t n_assumptions;
    const sm_unusual *unusual;
    size_t n_unusual;
    const sm_diag *read;             /* warnings of reading the case; NULL: none */
    const sm_settings *settings;     /* what its call hangs on; NULL if that is not known */
    const sm_assessment *assessment; /* NULL if the command computes none: its own part then states trials, seed */
} sm_result;

sm_result sm_result_of(const sm_casefile *f, const sm_diag *read, const sm_assessment *a);

/* A command's own part. Each function may be NULL. side adds members to the object of coronary k, whole adds members to
 * the result itself, after `decision` and before `assumptions`. */
typedef struct {
    const void *self;
    void (*side)(const void *self, size_t k, sm_json *w);
    void (*whole)(const void *self, sm_json *w);
} sm_result_part;

/* The same bytes for the same result, whatever the number of threads. */
void sm_result_json_write(const sm_result *r, const sm_result_part *part, size_t n_parts, sm_text *out);

/* {"probability", "standard_error", "ci95"}; {"value", "standard_error"}, of a share or a difference of probabilities:
 * to 1e-9. */
void sm_result_json_probability(sm_json *w, const char *key, const sm_probability *p);
/* obstruction: {"probability", "standard_error", "low95", "high95", "note"}, or null and the reason. */
void sm_result_json_obstruction(sm_json *w, const sm_obstruction *o);
void sm_result_json_estimate(sm_json *w, const char *key, double value, double standard_error);

/* Of one side: null where no coronary leaves the sinus, which has no event and is never crowded. */
void sm_result_json_side_event(sm_json *w, const char *key, const sm_coronary *o, const sm_probability *p);
void sm_result_json_side_crossing(sm_json *w, const sm_coronary *o, const sm_crossing *c);
/* "unusual": [...] of this case. */
void sm_result_json_unusual(sm_json *w, const sm_result *r);

/* The version of the program, as it stands in every result. */
const char *sm_result_version(void);
/* "above", "below", "open": on which side it lies; NULL if nothing is called. */
const char *sm_result_call_name(sm_call call);
/* "above", "below", "above_hangs_on", "below_hangs_on", "open"; NULL if nothing is called or it is not known. */
const char *sm_result_form_name(sm_form form);

/* Calls add for every warning, of reading first and then of the run, without file names and places: the same whatever
 * the file was called. words is valid during the call. */
bool sm_result_each_warning(const sm_result *r, void (*add)(void *self, const char *words), void *self);

#endif
