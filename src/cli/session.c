/* session.c - what the commands share: reading a case from a file, running, writing what came out.
 *
 * Contents: 1. reading  2. running  3. writing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/session.h"

#include <stdlib.h>
#include <string.h>

#include "cli/files.h"
#include "cli/signals.h"

static void tell(const sm_diag *d)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    sm_terminal_complain(text.s ? text.s : "");
    sm_text_destroy(&text);
}

/* 1. Reading */

static sm_file_text file_text(const char *name, const sm_text *t)
{
    return (sm_file_text){.name = name, .text = t->s ? t->s : "", .length = t->len};
}

/* Reads the profile that the case names; *path stays NULL where it names none. */
static sm_status read_profile(const char *case_path, sm_file_text case_text, char **path, sm_text *text, sm_diag *d)
{
    char *named = sm_casefile_profile_path(case_text);
    if (!named)
        return SM_OK;
    *path = sm_file_beside(case_path, named);
    free(named);
    return *path ? sm_file_read(*path, text, d) : SM_NO_MEMORY;
}

static void tell_refusal(const char *name, const sm_diag *d)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    if (d->faults > 1)
        sm_text_addf(&text, "%s: %zu faults found; nothing was computed\n", name, d->faults);
    sm_terminal_complain(text.s ? text.s : "");
    sm_text_destroy(&text);
}

sm_status sm_session_read(const char *path, sm_session_case *out)
{
    sm_text case_text = {0}, profile_text = {0};
    char *profile_path = NULL;
    const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
    *out = (sm_session_case){0};
    sm_status s = sm_file_read(path, &case_text, &out->diag);
    if (s == SM_OK)
        s = read_profile(path, file_text(name, &case_text), &profile_path, &profile_text, &out->diag);
    if (s == SM_OK || (s == SM_REFUSED && profile_path)) {
        /* Where the profile cannot be read, the faults of the case are told all the same. */
        const sm_file_text none = {0}, profile = file_text(profile_path, &profile_text);
        sm_status read = sm_casefile_read(file_text(name, &case_text), s == SM_OK && profile_path ? profile : none,
                                          NULL, 0, &out->diag, &out->file);
        s = s == SM_OK ? read : s;
    }
    if (s != SM_OK) {
        sm_casefile_destroy(out->file);
        out->file = NULL;
    }
    if (s == SM_REFUSED)
        tell_refusal(name, &out->diag);
    sm_text_destroy(&case_text);
    sm_text_destroy(&profile_text);
    free(profile_path);
    return s;
}

void sm_session_case_destroy(sm_session_case *c)
{
    sm_casefile_destroy(c->file);
    sm_diag_destroy(&c->diag);
    *c = (sm_session_case){0};
}

/* 2. Running */

static bool interrupted(void *self)
{
    (void)self;
    return sm_signals_interrupted();
}

static void progress(void *self, const sm_gathered *so_far, int64_t trials)
{
    sm_progress_show(&((sm_session_run *)self)->progress, so_far, trials);
}

sm_status sm_session_run_begin(sm_session_run *r, const sm_options *o, double action_line)
{
    *r = (sm_session_run){.threads = sm_threads_create(o->threads)};
    if (!r->threads)
        return SM_NO_MEMORY;
    r->executor = sm_threads_executor(r->threads);
    r->progress = sm_progress_create(action_line);
    r->watch = (sm_watch){.self = r, .interrupted = interrupted, .progress = progress};
    sm_signals_listen();
    return SM_OK;
}

void sm_session_run_end(sm_session_run *r)
{
    sm_progress_end(&r->progress);
    sm_threads_destroy(r->threads);
    r->threads = NULL;
}

/* 3. Writing */

sm_status sm_session_check_outputs(const sm_options *o)
{
    const char *const paths[] = {o->json, o->csv, o->html, o->profile};
    sm_diag d = {0};
    sm_status s = SM_OK;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++)
        if (paths[i] && sm_file_check_writable(paths[i], &d) != SM_OK)
            s = SM_NOT_WRITTEN;
    if (o->figures && sm_file_make_folder(o->figures, &d) != SM_OK)
        s = SM_NOT_WRITTEN;
    tell(&d);
    sm_diag_destroy(&d);
    return s;
}

sm_status sm_session_write(const char *path, const sm_text *text)
{
    sm_diag d = {0};
    if (text->failed)
        return SM_NO_MEMORY;
    sm_status s = sm_file_write_atomic(path, text->s ? text->s : "", text->len, &d);
    tell(&d);
    sm_diag_destroy(&d);
    return s;
}

sm_status sm_session_write_json(const char *path, const sm_result *r, const sm_result_part *part, size_t n_parts)
{
    sm_text text = {0};
    sm_result_json_write(r, part, n_parts, &text);
    sm_status s = sm_session_write(path, &text);
    sm_text_destroy(&text);
    return s;
}
