/* session.c - what the commands share: reading a case from a file, running, writing what came out.
 *
 * Contents: 1. reading  2. running  3. writing  4. a whole command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/session.h"

#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "command/figures.h"
#include "outside/files.h"
#include "command/paths.h"
#include "outside/interrupts.h"

/* 1. Reading */

static sm_file_text file_text(const char *name, const sm_text *t)
{
    return (sm_file_text){.name = name, .text = sm_text_string(t), .length = t->len};
}

/* Reads the profile that the case names; *path stays NULL if it names none. */
static sm_status read_profile(const char *case_path, sm_file_text case_text, char **path, sm_text *text, sm_diag *d)
{
    char *named;
    const sm_status s = sm_casefile_profile_path(case_text, &named);
    if (!named)
        return s;
    *path = sm_path_beside(case_path, named);
    free(named);
    return *path ? sm_file_read(*path, text, d) : SM_NO_MEMORY;
}

static sm_status tell_refusal(const char *name, const sm_diag *d)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    if (d->faults > 1) {
        sm_text_shown(&text, name);
        sm_text_addf(&text, ": %zu faults found; nothing was computed\n", d->faults);
    }
    return sm_terminal_tell(&text, SM_REFUSED);
}

sm_status sm_session_read(const char *path, sm_session_case *out)
{
    sm_text case_text = {0}, profile_text = {0};
    const char *name = sm_session_spoken_name(path);
    *out = (sm_session_case){0};
    sm_status s = sm_file_read(path, &case_text, &out->diag);
    if (s == SM_OK)
        s = read_profile(path, file_text(name, &case_text), &out->profile_path, &profile_text, &out->diag);
    const char *profile_path = out->profile_path;
    if (s == SM_OK || (s == SM_REFUSED && profile_path)) {
        /* If the profile cannot be read, the faults of the case are reported all the same. */
        const sm_file_text none = {0}, profile = file_text(profile_path, &profile_text);
        sm_status read = sm_casefile_read(file_text(name, &case_text), s == SM_OK && profile_path ? profile : none,
                                          NULL, 0, &out->diag, &out->file);
        s = s == SM_OK || read == SM_NO_MEMORY ? read : s;
    }
    if (s != SM_OK) {
        sm_casefile_destroy(out->file);
        out->file = NULL;
    }
    if (s == SM_REFUSED)
        s = tell_refusal(name, &out->diag);
    sm_text_destroy(&case_text);
    sm_text_destroy(&profile_text);
    return s;
}

void sm_session_case_destroy(sm_session_case *c)
{
    sm_casefile_destroy(c->file);
    sm_diag_destroy(&c->diag);
    free(c->profile_path);
    *c = (sm_session_case){0};
}

/* Names every case and profile in `all`, whether or not they can be read. */
static sm_status read_cases(sm_session *s, sm_output_files *all)
{
    sm_status status = SM_OK;
    s->n_cases = s->o->n_arguments < SM_SESSION_CASES ? s->o->n_arguments : SM_SESSION_CASES;
    for (int i = 0; i < s->n_cases; i++) {
        sm_outputs_reads(all, "the case", s->o->argument[i]);
        if (status == SM_OK)
            status = sm_session_read(s->o->argument[i], &s->at[i]);
        sm_outputs_reads(all, "the profile", s->at[i].profile_path);
    }
    if (status == SM_OK)
        s->planned = sm_casefile_case(s->at[0].file);
    return status;
}

/* 2. Running */

static bool interrupted(void *self)
{
    (void)self;
    return sm_interrupts_came();
}

static void progress(void *self, const sm_gathered *so_far, int64_t trials)
{
    sm_progress_show(self, so_far, trials);
}

static void auxiliary(void *self, const char *what, double share)
{
    sm_progress_auxiliary(self, what, share);
}

/* The settings of every case that was assessed. What else was found is kept if it is interrupted. */
static sm_status run_settings(sm_session *s, const sm_session_steps *steps, void *found)
{
    sm_status status = SM_OK;
    for (int i = 0; status == SM_OK && i < s->n_cases; i++)
        status = sm_settings_run(s->at[i].file, steps->assessment(found, i), s->context, &s->settings[i]);
    for (int i = 0; status == SM_INTERRUPTED && i < s->n_cases; i++)
        steps->assessment(found, i)->complete = false;
    return status;
}

/* The line of the progress is that of the case which counts: the last one. */
static sm_status run(sm_session *s, const sm_session_steps *steps, void *found)
{
    sm_threads *threads = sm_threads_create(s->o->threads);
    if (!threads)
        return SM_NO_MEMORY;
    sm_progress shown = sm_progress_create(sm_casefile_case(s->at[s->n_cases - 1].file)->action_line);
    s->context.executor = sm_threads_executor(threads);
    s->context.watch =
        (sm_watch){.self = &shown, .interrupted = interrupted, .progress = progress, .auxiliary = auxiliary};
    sm_interrupts_listen();
    sm_status status = steps->run(s, found);
    if (steps->assessment && (status == SM_OK || status == SM_UNRESOLVED)) {
        sm_status settings = run_settings(s, steps, found);
        if (settings == SM_OK && steps->settled)
            settings = steps->settled(s, found);
        status = settings == SM_OK ? status : settings;
    }
    s->context.executor = (sm_executor){0};
    s->context.watch = (sm_watch){0};
    sm_progress_end(&shown);
    sm_threads_destroy(threads);
    return status;
}

/* 3. Writing */

sm_status sm_session_check_outputs(const sm_options *o, sm_output_files *all, bool *tells)
{
    sm_outputs_writes(all, "--json", o->json);
    sm_outputs_writes(all, "--csv", o->csv);
    sm_outputs_writes(all, "-o", o->html);
    sm_outputs_writes(all, "--profile", o->profile);
    sm_outputs_fills(all, "--figures", o->figures, sm_figures_may_write);
    *tells = *tells && sm_outputs_tells(all);
    const sm_status s = sm_outputs_check(all);
    sm_outputs_destroy(all);
    return s;
}

bool sm_session_is_standard(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

const char *sm_session_spoken_name(const char *path)
{
    return sm_session_is_standard(path) ? "standard input" : path;
}

sm_status sm_session_send(const char *path, sm_text *text)
{
    return sm_staging_send(path, text);
}

static sm_status stage(const sm_session *s, const char *path,
                       void (*fill)(const sm_session *s, const void *found, sm_text *out), const void *found)
{
    sm_text text = {0};
    if (!path || !fill)
        return SM_OK;
    fill(s, found, &text);
    return sm_staging_add(s->staging, path, &text);
}

static sm_status stage_figures(const sm_session *s, const sm_session_steps *steps, const void *found)
{
    const char *folder = s->o->figures;
    if (!folder)
        return SM_OK;
    const sm_status status = sm_staging_make_folder(s->staging, folder, true);
    return status == SM_OK ? steps->figures(s, found, folder) : status;
}

static sm_status stage_text(const sm_session *s, const sm_session_steps *steps, const void *found)
{
    const sm_style style = sm_terminal_style(s->o->plain);
    sm_text text = {0};
    if (!s->tells)
        return SM_OK;
    steps->text(s, found, &style, &text);
    return sm_staging_add(s->staging, "-", &text);
}

sm_status sm_session_write_outputs(const sm_session *s, const sm_session_steps *steps, const void *found)
{
    sm_staging staging = {0};
    sm_session with = *s;
    with.staging = &staging;
    sm_status status = stage(&with, s->o->json, steps->json, found);
    if (status == SM_OK)
        status = stage(&with, s->o->csv, steps->csv, found);
    if (status == SM_OK)
        status = stage(&with, s->o->html, steps->page, found);
    if (status == SM_OK)
        status = stage_figures(&with, steps, found);
    if (status == SM_OK)
        status = stage_text(&with, steps, found);
    if (status == SM_OK)
        status = sm_staging_commit(&staging);
    sm_staging_destroy(&staging);
    return status;
}

/* 4. A whole command */

sm_result sm_session_result(const sm_session *s, int i, const sm_assessment *a)
{
    sm_result r = sm_result_of(s->at[i].file, &s->at[i].diag, a);
    r.settings = s->settings[i].swing ? &s->settings[i] : NULL;
    return r;
}

/* An output that is an input says so even if the input was refused: both are to be mended. */
static sm_status begin(sm_session *s)
{
    sm_output_files all = {0};
    const sm_status read = read_cases(s, &all);
    const sm_status checked = sm_session_check_outputs(s->o, &all, &s->tells);
    return checked == SM_OK || read == SM_NO_MEMORY ? read : checked;
}

sm_status sm_session_do(const sm_options *o, const sm_session_steps *steps, void *found)
{
    const bool plain = o->points && strcmp(o->points, "plain") == 0;
    sm_session s = {.o = o, .context = {.trials = o->trials, .seed = o->seed}, .tells = steps->text != NULL};
    s.context.points = plain ? SM_POINTS_PLAIN : SM_POINTS_SHARP;
    sm_status status = begin(&s);
    if (status == SM_OK)
        status = run(&s, steps, found);
    if (status == SM_OK || status == SM_UNRESOLVED || status == SM_INTERRUPTED) {
        const sm_status written = sm_session_write_outputs(&s, steps, found);
        status = written == SM_OK ? status : written;
    }
    for (int i = 0; i < SM_SESSION_CASES; i++) {
        sm_session_case_destroy(&s.at[i]);
        sm_settings_destroy(&s.settings[i]);
    }
    return status;
}
