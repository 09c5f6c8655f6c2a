/* options.h - the options that every command shares, in one table; and what a command line said.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_OPTIONS_H
#define SM_COMMAND_OPTIONS_H

#include <stdint.h>

#include "base/status.h"
#include "base/text.h"
#include "outside/threads.h"

/* id, name, name of the argument (NULL: none), how it is taken, the member of sm_options that it fills, what it does
 * (@: its default).
 * FLAG: true; WORD: the argument as it stands; WHOLE: a whole number; VARY: one more of a list; ASKED: `given` says it.
 */
#define SM_OPTION_LIST(X)                                                                                              \
    X(TRIALS, "--trials", "N", WHOLE, trials, "how many roots to draw; default @ (also 1e6)")                          \
    X(SEED, "--seed", "S", WHOLE, seed, "where the random numbers start, 0 to 2^64-1; default @")                      \
    X(WHOLE, "--whole", NULL, FLAG, whole, "print everything, not the first screen alone")                             \
    X(UNTIL_RESOLVED, "--until-resolved", NULL, FLAG, until_resolved, "go on until the answer is clear of your line")  \
    X(CAP, "--cap", "N", WHOLE, cap, "with --until-resolved: stop after N; default @")                                 \
    X(POINTS, "--points", "WHICH", WORD, points,                                                                       \
      "where probabilities come from: sharp (well-placed points, more exact; the default) or plain (counted)")         \
    X(THREADS, "--threads", "T", WHOLE, threads, "how many processors to use; default all; no effect on results")      \
    X(JSON, "--json", "FILE", WORD, json, "write the result as JSON; - writes it, and it alone, to standard output")   \
    X(CSV, "--csv", "FILE", WORD, csv, "write the numbers as a table, one a line")                                     \
    X(FIGURES, "--figures", "DIR", WORD, figures, "write the figures into this folder")                                \
    X(HTML, "-o", "FILE.html", WORD, html, "write the report as a page")                                               \
    X(VARY, "--vary", "WHAT=FROM:TO", VARY, vary, "what to vary, and over what; :STEPS may follow; once or twice")     \
    X(ALL, "--all", NULL, FLAG, all, "every assumption alone, over its range")                                         \
    X(PROFILE, "--profile", "FILE", WORD, profile, "make or update this site profile; needs --plane")                  \
    X(PLANE, "--plane", "WHICH", WORD, plane,                                                                          \
      "fixed: all readers measured from one base plane; replaced: each set it anew")                                   \
    X(REPLACE, "--replace", NULL, FLAG, replace, "with --profile: replace a larger study by this one")                 \
    X(ACCEPT, "--accept", NULL, FLAG, accept, "with --profile: write it although readings do not fit with the others") \
    X(NO_CONTEXT, "--no-context", NULL, FLAG, no_context,                                                              \
      "leave out what published series say of a reading like this")                                                    \
    X(TEMPLATE, "--template", NULL, FLAG, template,                                                                    \
      "write a form to fill in, and a text beside it that explains every key")                                         \
    X(FROM_CSV, "--from-csv", "FILE", WORD, from_csv, "make one case a row of this table, into the folder CASE")       \
    X(FROM_POINTS, "--from-points", "FILE", WORD, from_points,                                                         \
      "make CASE of points picked in a scan, a file for each reader; more files may follow CASE")                      \
    X(AXES, "--axes", "WHICH", WORD, axes,                                                                             \
      "of the points: lps (x to the patient's left, y to the back) or ras (right, front); z to the head")              \
    X(CIRCLE, "--circle", "MM", WORD, circle, "diameter of the circle from which gaps are measured")                   \
    X(READER, "--reader", "NAMES", WORD, reader, "who picked the points of each file, with commas; default A,B,...")   \
    X(ONTO, "--onto", "FILE", WORD, onto, "take all that points do not give from this case or form")                   \
    X(PLAIN, "--plain", NULL, FLAG, plain, "sentences without drawings or colour, for screen readers")                 \
    X(QUIET, "--quiet", NULL, FLAG, quiet, "the answer in a sentence or two and the caution, no more")                 \
    X(HELP, "--help", NULL, ASKED, given, "this text")                                                                 \
    X(VERSION, "--version", NULL, ASKED, given, "the version")

#define SM_OPTION_INDEX(id, name, argument, how, member, words) SM_OPTION_INDEX_##id,
enum { SM_OPTION_LIST(SM_OPTION_INDEX) SM_OPTION_COUNT };
#undef SM_OPTION_INDEX
/* SM_OPTION_TRIALS and so on: one bit each, for the set that a command uses. */
#define SM_OPTION_BIT(id, name, argument, how, member, words) SM_OPTION_##id = 1U << SM_OPTION_INDEX_##id,
enum { SM_OPTION_LIST(SM_OPTION_BIT) SM_OPTION_NONE = 0 };
#undef SM_OPTION_BIT

#define SM_OPTIONS_RUN    (SM_OPTION_TRIALS | SM_OPTION_SEED | SM_OPTION_THREADS)
#define SM_OPTIONS_ALWAYS (SM_OPTION_HELP | SM_OPTION_VERSION)

enum { SM_MAX_ARGUMENTS = 8, SM_MAX_VARY = 2 };

/* What the command line said, defaults filled in. Strings are borrowed from argv. */
typedef struct {
    unsigned given; /* bits */
    int64_t trials, cap;
    uint64_t seed;
    int threads; /* 0: all */
    const char *json, *csv, *figures, *html, *profile, *plane, *from_csv, *from_points, *axes, *circle, *reader, *onto,
        *points;
    bool plain, quiet, whole, until_resolved, template, no_context, all, replace, accept;
    int n_vary;
    const char *vary[SM_MAX_VARY];
    int n_arguments;
    const char *argument[SM_MAX_ARGUMENTS];
} sm_options;

/* Reads argv[first] and on for a command that uses the options in `uses`. On SM_USAGE every complaint is in
 * complaints, one a line. */
sm_status sm_options_read(const char *command, unsigned uses, int argc, char *const *argv, int first, sm_options *out,
                          sm_text *complaints);

/* The options in `uses`, one or two lines each, at most 80 columns. */
void sm_options_help(unsigned uses, sm_text *out);

/* The whole number that s stands for: 1000000, 1,000,000, 1e6, 2.5e6. False if it is none or outside [low, high]. */
bool sm_options_whole(const char *s, uint64_t low, uint64_t high, uint64_t *out);

#endif
