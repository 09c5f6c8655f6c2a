/* session.h - what the commands share: reading cases from files, running, writing what came out.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_SESSION_H
#define SM_COMMAND_SESSION_H

#include "engine/assess.h"
#include "casefile/casefile.h"
#include "report/json/result_json.h"
#include "command/options.h"
#include "outside/outputs.h"
#include "outside/staging.h"
#include "outside/terminal.h"
#include "outside/threads.h"

/* A case with its profile, read. diag holds warnings, or the faults if file is NULL. */
typedef struct {
    sm_casefile *file;
    char *profile_path; /* NULL if the case names none */
    sm_diag diag;
} sm_session_case;

/* Reads the case at path ("-": standard input) and the profile that it names, as seen from the folder of the case.
 * If it is refused, every fault has been reported on standard error. Destroy out in every case. */
sm_status sm_session_read(const char *path, sm_session_case *out);
void sm_session_case_destroy(sm_session_case *c);

enum { SM_SESSION_CASES = 2 };

/* What the steps of a command see. The context's executor and watch are there during `run` alone, staging while outputs
 * are written. */
typedef struct {
    const sm_options *o;
    int n_cases;
    sm_session_case at[SM_SESSION_CASES];
    const sm_case *planned;                 /* of the first case */
    sm_settings settings[SM_SESSION_CASES]; /* what the call of each case hangs on; empty: not known */
    sm_run_context context;
    bool tells; /* the text goes to standard output */
    sm_staging *staging;
} sm_session;

/* The result of case i with what was found for it, and what its call hangs on. */
sm_result sm_session_result(const sm_session *s, int i, const sm_assessment *a);

/* A command as a table of its own parts. `found` is what the command keeps between running and writing. Each step that
 * writes fills an empty text; NULL if a command has no such output. */
typedef struct {
    /* There is something to write on SM_OK, SM_UNRESOLVED and SM_INTERRUPTED; any other status ends the command. */
    sm_status (*run)(const sm_session *s, void *found);
    /* What run found of case i: what its call hangs on is found next. */
    sm_assessment *(*assessment)(void *found, int i);
    sm_status (*settled)(const sm_session *s, void *found); /* after that; may be NULL */
    void (*json)(const sm_session *s, const void *found, sm_text *out);
    void (*csv)(const sm_session *s, const void *found, sm_text *out);
    void (*page)(const sm_session *s, const void *found, sm_text *out);
    sm_status (*figures)(const sm_session *s, const void *found, const char *folder);
    void (*text)(const sm_session *s, const void *found, const sm_style *style, sm_text *out); /* quiet or in full */
} sm_session_steps;

/* Reads every case that the command line names, checks the outputs against them and each other, runs with threads,
 * progress line and interrupt, and writes what was asked for: all of it, or nothing. The command's status; what went
 * wrong has been told. */
sm_status sm_session_do(const sm_options *o, const sm_session_steps *steps, void *found);

/* The parts of it, for commands that go another way. */

/* Asked before a run: adds the outputs of the command line to the inputs in `all`, checks them (sm_outputs_check), and
 * empties it. *tells: whether the command has a text for standard output; becomes whether the text goes there, which
 * one of the outputs may have for itself. */
sm_status sm_session_check_outputs(const sm_options *o, sm_output_files *all, bool *tells);
/* Every output that was asked for, or none. */
sm_status sm_session_write_outputs(const sm_session *s, const sm_session_steps *steps, const void *found);

/* Whether a path is "-". False for NULL. */
bool sm_session_is_standard(const char *path);
/* What messages call an input: its path, or "standard input". */
const char *sm_session_spoken_name(const char *path);
/* Writes a text to a path ("-": standard output), and empties it. What went wrong has been told. */
sm_status sm_session_send(const char *path, sm_text *text);

#endif
