/* slimmargin.h - how probable it is that each limit of room beside the coronary ostia is truly crossed.
 *
 * A case in (text), a result out (text or JSON). Nothing here opens a file, prints, reads a clock or the environment,
 * or starts a thread. A program that uses it calls gsl_set_error_handler_off() once (GSL's own handler would end the
 * program). Texts handed back belong to their handle, except if "the caller frees" is said.
 *
 * What comes out is the probability that the true measure lies below a limit. It is not the probability that an artery
 * will be obstructed. Not a medical device.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SLIMMARGIN_H
#define SLIMMARGIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum {
    SLIMMARGIN_OK,
    SLIMMARGIN_REFUSED,     /* the case has faults: see slimmargin_case_messages; or a number is out of its range */
    SLIMMARGIN_UNRESOLVED,  /* until_resolved met its cap; the result is there */
    SLIMMARGIN_INTERRUPTED, /* the watch asked to stop; the result holds what is known */
    SLIMMARGIN_NO_MEMORY,
    SLIMMARGIN_FAILED /* a computation gave a value that is not a number */
} slimmargin_status;

/* "done", "the input was refused", ... */
const char *slimmargin_status_words(slimmargin_status s);
const char *slimmargin_version(void);

/* A case, read and checked (docs/case-format.md). */
typedef struct slimmargin_case slimmargin_case;

/* The profile that a case names goes to *path, as it is written there; NULL if it names none, or if the case cannot be
 * read (slimmargin_case_read says why). SLIMMARGIN_OK, or SLIMMARGIN_NO_MEMORY: then it is not known whether it names
 * one. The caller frees it. */
slimmargin_status slimmargin_case_profile(const char *text, size_t length, char **path);

/* Reads a case and, if profile is not NULL, its site profile. *out is a handle in either case but NO_MEMORY, so that
 * its messages can be had; it can be run only if SLIMMARGIN_OK was returned. */
slimmargin_status slimmargin_case_read(const char *text, size_t length, const char *profile, size_t profile_length,
                                       slimmargin_case **out);
/* Faults and warnings, one a line: "case:12:7: /scan/kernel: ...". "" if there are none. */
const char *slimmargin_case_messages(const slimmargin_case *c);
void slimmargin_case_free(slimmargin_case *c);

/* Calls task(arg, i) once for each i below n, in any order, side by side as the caller likes; returns when all have
 * ended. Results are the same for every width. */
typedef struct {
    int width; /* how many at the same time, at least 1 */
    void (*run)(void *self, int n, void (*task)(void *arg, int i), void *arg);
    void *self;
} slimmargin_executor;

/* What is known so far of the patient event: an event on any side. */
typedef struct {
    int64_t done, planned;         /* trials */
    double probability, low, high; /* and its 95 % interval, Monte Carlo error only */
} slimmargin_progress;

/* Called between batches of trials. Return false to stop with what is known. */
typedef struct {
    void *self;
    bool (*go_on)(void *self, const slimmargin_progress *so_far);
} slimmargin_watch;

typedef struct {
    int64_t trials;      /* 1 to 1e12 */
    uint64_t seed;       /* any */
    bool until_resolved; /* go on until the answer is clear of the case's action line, or cap is met */
    int64_t cap;         /* used with until_resolved: trials to 1e12 */
    bool plain_points;   /* probabilities are counted in the trials, not taken from sharp points beside them */
} slimmargin_options;

/* 1,000,000 trials, seed 1, cap 100,000,000. */
slimmargin_options slimmargin_options_default(void);

typedef struct slimmargin_result slimmargin_result;

/* Runs the case. options, executor and watch may be NULL. c must outlive *out. *out is NULL if there is no result.
 */
slimmargin_status slimmargin_assess(const slimmargin_case *c, const slimmargin_options *options,
                                    const slimmargin_executor *executor, const slimmargin_watch *watch,
                                    slimmargin_result **out);
/* The report in plain words, 80 columns, and the result as JSON. The caller frees them; NULL without memory. utf8:
 * drawing characters are allowed; plain: sentences only. */
char *slimmargin_result_text(const slimmargin_result *r, bool utf8, bool plain);
char *slimmargin_result_json(const slimmargin_result *r);
void slimmargin_result_free(slimmargin_result *r);

/* The whole report: what `slimmargin report` writes, as one page that needs no other file, and as JSON (either may be
 * NULL). Takes some seconds; options, executor and watch as above, but nothing goes on until it is resolved. After
 * SLIMMARGIN_INTERRUPTED the texts tell what is known. The caller frees them; NULL if there is nothing to tell. */
slimmargin_status slimmargin_report(const slimmargin_case *c, const slimmargin_options *options,
                                    const slimmargin_executor *executor, const slimmargin_watch *watch, char **html,
                                    char **json);

#ifdef __cplusplus
}
#endif

#endif
