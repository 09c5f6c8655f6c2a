/* cmd_learn.c - slimmargin learn: a reader study -> what the readers' own errors are.
 *
 * Contents: 1. options  2. learning  3. profile  4. outputs  5. command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "readers/reader_study.h"
#include "study/profile_update.h"
#include "study/study_csv.h"
#include "report/json/study_json.h"
#include "command/command.h"
#include "outside/files.h"
#include "command/session.h"
#include "report/text/learn_text.h"

/* 1. Options */

const char sm_cmd_learn_help[] = "Learns from repeated readings how far readers differ, in words and tables, and\n"
                                 "writes it into a site profile. A STUDY is a CSV file (- for standard input)\n"
                                 "with one reading a row; its header names case, quantity, reader, repeat and\n"
                                 "value_mm, or a column \"reader A\" for each reader. Several files, up to 8, are\n"
                                 "one study: names that are the same mean the same.\n";

static sm_status complain(const char *words)
{
    return sm_terminal_complain(words, SM_USAGE);
}

static sm_status check_options(const sm_options *o)
{
    if (o->plane && strcmp(o->plane, "fixed") != 0 && strcmp(o->plane, "replaced") != 0)
        return complain("--plane: expected fixed or replaced\n");
    if (o->profile && !o->plane)
        return complain("--profile: did each reader set the base plane anew? The study cannot tell.\n"
                        "Add --plane replaced if so, --plane fixed if all readers measured from one plane.\n");
    if (!o->profile && (o->replace || o->accept))
        return complain(o->replace ? "--replace: has a meaning only with --profile\n"
                                   : "--accept: has a meaning only with --profile\n");
    return SM_OK;
}

/* 2. Learning */

typedef struct {
    const sm_options *o;
    sm_text study_name; /* "a.csv, b.csv" */
    bool tells;         /* the text goes to standard output */
    sm_diag d;
    sm_text csv[SM_MAX_ARGUMENTS], old_profile, words, json, profile, messages;
    sm_reader_study study;
    sm_learned *learned;
} job;

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static sm_status read_study(job *j)
{
    sm_file_text text[SM_MAX_ARGUMENTS];
    sm_status status = SM_OK;
    const size_t n = (size_t)j->o->n_arguments;
    for (size_t i = 0; status == SM_OK && i < n; i++) {
        const char *path = j->o->argument[i];
        status = sm_file_read(path, &j->csv[i], &j->d);
        text[i] = (sm_file_text){sm_session_spoken_name(path), j->csv[i].s, j->csv[i].len};
        sm_text_addf(&j->study_name, "%s%s", i > 0 ? ", " : "", file_name(sm_session_spoken_name(path)));
    }
    if (j->study_name.failed)
        return SM_NO_MEMORY;
    return status == SM_OK ? sm_study_csv_read(text, n, &j->d, &j->study) : status;
}

static sm_status learn(job *j)
{
    sm_status status = read_study(j);
    if (status != SM_OK)
        return status;
    j->learned = calloc(j->study.n_quantities, sizeof *j->learned);
    if (!j->learned)
        return SM_NO_MEMORY;
    for (size_t q = 0; status == SM_OK && q < j->study.n_quantities; q++)
        status = sm_learn_quantity(&j->study, q, &j->learned[q]);
    return status;
}

/* 3. Profile */

/* Readings that are likely typed wrong: a fault each, with --accept a warning. */
static void tell_outlying(job *j, size_t q)
{
    const sm_learned *l = &j->learned[q];
    for (size_t i = 0; i < l->n_outlying; i++) {
        const sm_study_reading *r = &j->study.quantity[q].reading[l->outlying[i].suspect];
        sm_text words = {0};
        sm_learn_outlying_write(&j->study, q, &l->outlying[i], &words);
        sm_diag_add(&j->d, j->o->accept ? SM_WARNING : SM_FAULT,
                    (sm_place){.file = sm_session_spoken_name(j->o->argument[r->file]), .line = r->line, .column = 1},
                    "%s%s", sm_text_string(&words),
                    j->o->accept ? ": accepted" : ". Typed wrong? Correct it, or add --accept if it is right");
        sm_text_done(&words, &j->profile);
    }
}

/* Entries of all quantities that a profile takes and the study tells; the others are named in warnings. */
static size_t gather_entries(job *j, sm_profile_reader *entry, sm_text *source)
{
    size_t n = 0;
    for (size_t q = 0; q < j->study.n_quantities; q++) {
        const char *name = j->study.quantity[q].name;
        const sm_learned *l = &j->learned[q];
        if (!sm_profile_takes(name) || !sm_learned_is_usable(l)) {
            sm_diag_add(&j->d, SM_WARNING, (sm_place){.file = j->o->profile}, "%s was not written: %s", name,
                        sm_profile_takes(name) ? "the study cannot tell it" : "a profile has no such quantity");
            continue;
        }
        tell_outlying(j, q);
        sm_learn_source_write(l, sm_text_string(&j->study_name), &source[n]);
        entry[n] = (sm_profile_reader){.quantity = name,
                                       .between_reader_sd_mm = l->between_sd.value,
                                       .repeat_sd_mm = l->repeat_sd.value >= 0.0 ? l->repeat_sd.value : 0.0,
                                       .dof = l->dof,
                                       .sd_includes_plane = strcmp(j->o->plane, "replaced") == 0,
                                       .source = sm_text_string(&source[n]),
                                       .cases = l->cases,
                                       .readers = l->readers,
                                       .readings = l->readings};
        n++;
    }
    return n;
}

/* A file name without its ending is the site's name until someone writes a better one. */
static char *site_name(const char *path)
{
    const char *name = file_name(path), *dot = strrchr(name, '.');
    return sm_string_copyn(name, dot && dot > name ? (size_t)(dot - name) : strlen(name));
}

static sm_status update_profile(job *j, const sm_profile_reader *entry, size_t n)
{
    bool there;
    const sm_status read = sm_file_read_old(j->o->profile, &j->old_profile, &there, &j->d);
    if (read != SM_OK)
        return read;
    const sm_file_text old = {
        .name = j->o->profile, .text = there ? sm_text_string(&j->old_profile) : NULL, .length = j->old_profile.len};
    char *site = site_name(j->o->profile);
    sm_status status = site ? sm_profile_update(old, site, entry, n, j->o->replace, &j->d, &j->profile) : SM_NO_MEMORY;
    free(site);
    return status;
}

static sm_status make_profile(job *j)
{
    size_t most = j->study.n_quantities;
    sm_profile_reader *entry = calloc(most, sizeof *entry);
    sm_text *source = calloc(most, sizeof *source);
    sm_status status = SM_NO_MEMORY;
    if (entry && source) {
        const size_t faults = j->d.faults, n = gather_entries(j, entry, source);
        status = update_profile(j, entry, n);
        status = status == SM_OK && j->d.faults > faults ? SM_REFUSED : status;
    }
    for (size_t i = 0; source && i < most; i++)
        sm_text_done(&source[i], &j->profile);
    free(source);
    free(entry);
    return status;
}

/* 4. Outputs */

static sm_status stage(sm_staging *staging, const char *path, sm_text *text)
{
    return path ? sm_staging_add(staging, path, text) : SM_OK;
}

/* What was found in the files, and how it ended. */
static void gather_messages(job *j, sm_status status)
{
    sm_text *out = &j->messages;
    sm_diag_write(&j->d, out);
    if (status == SM_REFUSED) {
        sm_text_shown(out, sm_text_string(&j->study_name));
        sm_text_addf(out, ": %zu %s found; nothing was written\n", j->d.faults, j->d.faults == 1 ? "fault" : "faults");
    }
    if (status == SM_OK && j->o->profile) {
        sm_text_shown(out, j->o->profile);
        sm_text_puts(out, ": profile written. A case beside it uses it by the line \"profile\": \"");
        sm_text_shown(out, file_name(j->o->profile));
        sm_text_puts(out, "\"\n");
    }
}

/* Everything is made before anything is written, the messages too. */
static sm_status write_outputs(job *j)
{
    const sm_options *o = j->o;
    const sm_style style = sm_terminal_style(o->plain);
    sm_staging staging = {0};
    if (o->json)
        sm_study_json_write(&j->study, j->learned, sm_text_string(&j->study_name), &j->json);
    sm_learn_text_write(&j->study, j->learned, &style, o->quiet, &j->words);
    sm_status status = o->profile ? make_profile(j) : SM_OK;
    if (status == SM_OK)
        status = stage(&staging, o->profile, &j->profile);
    if (status == SM_OK)
        status = stage(&staging, o->json, &j->json);
    if (status == SM_OK)
        status = stage(&staging, j->tells ? "-" : NULL, &j->words);
    if (status == SM_OK) {
        gather_messages(j, status);
        status = j->messages.failed ? SM_NO_MEMORY : sm_staging_commit(&staging);
    }
    sm_staging_destroy(&staging);
    return status;
}

/* 5. Command */

static void job_destroy(job *j)
{
    for (size_t q = 0; j->learned && q < j->study.n_quantities; q++)
        sm_learned_destroy(&j->learned[q]);
    free(j->learned);
    sm_reader_study_destroy(&j->study);
    for (int i = 0; i < SM_MAX_ARGUMENTS; i++)
        sm_text_destroy(&j->csv[i]);
    sm_text_destroy(&j->study_name);
    sm_text_destroy(&j->old_profile);
    sm_text_destroy(&j->words);
    sm_text_destroy(&j->json);
    sm_text_destroy(&j->profile);
    sm_text_destroy(&j->messages);
    sm_diag_destroy(&j->d);
}

/* What was gathered needs no more memory: the outputs are written. */
static sm_status tell(job *j, sm_status status)
{
    if (status == SM_OK)
        return sm_terminal_complain(sm_text_string(&j->messages), status);
    sm_text_destroy(&j->messages);
    gather_messages(j, status);
    return sm_terminal_tell(&j->messages, status);
}

sm_status sm_cmd_learn(const sm_options *o)
{
    job j = {.o = o, .tells = true};
    sm_output_files all = {0};
    sm_status status = check_options(o);
    if (status == SM_OK) {
        for (int i = 0; i < o->n_arguments; i++)
            sm_outputs_reads(&all, "the study", o->argument[i]);
        status = sm_session_check_outputs(o, &all, &j.tells);
    }
    if (status == SM_OK)
        status = learn(&j);
    if (status == SM_OK)
        status = write_outputs(&j);
    status = tell(&j, status);
    job_destroy(&j);
    return status;
}
