/* session.h - what the commands share: reading a case from a file, running, writing what came out.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_SESSION_H
#define SM_CLI_SESSION_H

#include "analysis/assess.h"
#include "casefile/casefile.h"
#include "casefile/result_json.h"
#include "cli/options.h"
#include "cli/terminal.h"
#include "cli/threads.h"

/* A case with its profile, read. diag holds warnings, or the faults where file is NULL. */
typedef struct {
    sm_casefile *file;
    sm_diag diag;
} sm_session_case;

/* Reads the case at path ("-": standard input) and the profile that it names, as seen from the folder of the case.
 * Where it is refused, every fault has been told on standard error. Destroy out in every case. */
sm_status sm_session_read(const char *path, sm_session_case *out);
void sm_session_case_destroy(sm_session_case *c);

/* A pool of threads, the interrupt and the progress line, ready for a run. */
typedef struct {
    sm_threads *threads;
    sm_executor executor;
    sm_progress progress;
    sm_watch watch; /* its self is the session_run: do not move it */
} sm_session_run;

sm_status sm_session_run_begin(sm_session_run *r, const sm_options *o, double action_line);
/* Ends the threads and wipes the progress line. */
void sm_session_run_end(sm_session_run *r);

/* SM_OK, or SM_NOT_WRITTEN told on standard error: asked before a run, not after it. NULL paths are passed over; the folder
 * of --figures is made where it is missing. */
sm_status sm_session_check_outputs(const sm_options *o);
/* Writes a text to a path ("-": standard output). What went wrong has been told. */
sm_status sm_session_write(const char *path, const sm_text *text);
/* Writes a result with a command's own parts as JSON. */
sm_status sm_session_write_json(const char *path, const sm_result *r, const sm_result_part *part, size_t n_parts);

#endif
