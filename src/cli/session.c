/* session.c - what the commands share: reading a case from a file, running, writing what came out.
 *
 * Contents: 1. reading  2. running  3. writing  4. a whole command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/session.h"

#include <stdlib.h>
#include <string.h>

#include "cli/files.h"
#include "cli/signals.h"

/* 1. Reading */

static sm_file_text file_text(const char *name, const sm_text *t)
{
    return (sm_file_text){.name = name, .text = sm_text_string(t), .length = t->len};
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
    sm_terminal_tell(&text);
}

sm_status sm_session_read(const char *path, sm_session_case *out)
{
    sm_text case_text = {0}, profile_text = {0};
    char *profile_path = NULL;
    const char *name = sm_session_is_standard(path) ? "standard input" : path;
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

static sm_status read_cases(sm_session *s)
{
    sm_status status = SM_OK;
    s->n_cases = s->o->n_arguments < SM_SESSION_CASES ? s->o->n_arguments : SM_SESSION_CASES;
    for (int i = 0; status == SM_OK && i < s->n_cases; i++)
        status = sm_session_read(s->o->argument[i], &s->at[i]);
    if (status == SM_OK)
        s->planned = sm_casefile_case(s->at[0].file);
    return status;
}

/* 2. Running */

static bool interrupted(void *self)
{
    (void)self;
    return sm_signals_interrupted();
}

static void progress(void *self, const sm_gathered *so_far, int64_t trials)
{
    sm_progress_show(self, so_far, trials);
}

static void beside(void *self, const char *what, double share)
{
    sm_progress_beside(self, what, share);
}

/* The line of the progress is that of the case which counts: the last one. */
static sm_status run(sm_session *s, const sm_session_steps *steps, void *found)
{
    sm_threads *threads = sm_threads_create(s->o->threads);
    if (!threads)
        return SM_NO_MEMORY;
    sm_progress shown = sm_progress_create(sm_casefile_case(s->at[s->n_cases - 1].file)->action_line);
    s->context.executor = sm_threads_executor(threads);
    s->context.watch = (sm_watch){.self = &shown, .interrupted = interrupted, .progress = progress, .beside = beside};
    sm_signals_listen();
    const sm_status status = steps->run(s, found);
    s->context.executor = (sm_executor){0};
    s->context.watch = (sm_watch){0};
    sm_progress_end(&shown);
    sm_threads_destroy(threads);
    return status;
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
    sm_terminal_tell_diag(&d);
    sm_diag_destroy(&d);
    return s;
}

bool sm_session_is_standard(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

sm_status sm_session_write(const char *path, const sm_text *text)
{
    sm_diag d = {0};
    if (text->failed)
        return SM_NO_MEMORY;
    sm_status s = sm_file_write_atomic(path, sm_text_string(text), text->len, &d);
    sm_terminal_tell_diag(&d);
    sm_diag_destroy(&d);
    return s;
}

sm_status sm_session_send(const char *path, sm_text *text)
{
    const sm_status s = sm_session_write(path, text);
    sm_text_destroy(text);
    return s;
}

static sm_status write_file(const char *path, void (*fill)(const sm_session *s, const void *found, sm_text *out),
                            const sm_session *s, const void *found)
{
    sm_text text = {0};
    if (!path || !fill)
        return SM_OK;
    fill(s, found, &text);
    return sm_session_send(path, &text);
}

static sm_status write_text(const sm_session *s, const sm_session_steps *steps, const void *found)
{
    const sm_style style = sm_terminal_style(s->o->plain);
    sm_text text = {0};
    steps->text(s, found, &style, &text);
    return sm_session_send("-", &text);
}

sm_status sm_session_write_outputs(const sm_session *s, const sm_session_steps *steps, const void *found)
{
    const sm_options *o = s->o;
    const bool taken =
        sm_session_is_standard(o->json) || sm_session_is_standard(o->csv) || sm_session_is_standard(o->html);
    sm_status status = write_file(o->json, steps->json, s, found);
    if (status == SM_OK)
        status = write_file(o->csv, steps->csv, s, found);
    if (status == SM_OK)
        status = write_file(o->html, steps->page, s, found);
    if (status == SM_OK && o->figures)
        status = steps->figures(s, found, o->figures);
    if (status == SM_OK && steps->text && !taken)
        status = write_text(s, steps, found);
    return status;
}

/* 4. A whole command */

sm_result sm_session_result(const sm_session *s, int i, const sm_assessment *a)
{
    return sm_result_of(s->at[i].file, &s->at[i].diag, a);
}

sm_status sm_session_do(const sm_options *o, const sm_session_steps *steps, void *found)
{
    sm_session s = {.o = o, .context = {.trials = o->trials, .seed = o->seed}};
    sm_status status = sm_session_check_outputs(o);
    if (status == SM_OK)
        status = read_cases(&s);
    if (status == SM_OK)
        status = run(&s, steps, found);
    if (status == SM_OK || status == SM_UNRESOLVED || status == SM_INTERRUPTED) {
        const sm_status written = sm_session_write_outputs(&s, steps, found);
        status = written == SM_OK ? status : written;
    }
    for (int i = 0; i < SM_SESSION_CASES; i++)
        sm_session_case_destroy(&s.at[i]);
    return status;
}
