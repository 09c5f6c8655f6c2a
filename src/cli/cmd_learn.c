/* cmd_learn.c - slimmargin learn: a reader study -> what the readers' own errors are.
 *
 * Contents: 1. options  2. learning  3. profile  4. outputs  5. command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/cmd_learn.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "analysis/reader_study.h"
#include "casefile/profile_update.h"
#include "casefile/study_csv.h"
#include "casefile/study_json.h"
#include "cli/files.h"
#include "report/learn_text.h"

/* 1. Options */

typedef struct {
    const char *study, *profile, *plane, *json;
    bool plain, quiet, help;
} options;

static const char usage[] = "usage: slimmargin learn STUDY.csv [--profile SITE.json] [--plane fixed|replaced]\n"
                            "                        [--json FILE] [--plain] [--quiet]\n"
                            "Learns from repeated readings how far readers differ, and writes it into a site profile.\n"
                            "STUDY.csv: one reading a row; its header names case, quantity, reader, repeat, value_mm.\n"
                            "  --profile SITE.json   make or update this site profile (needs --plane)\n"
                            "  --plane fixed         all readers measured from one base plane that was set beforehand\n"
                            "  --plane replaced      each reader set the base plane anew\n"
                            "  --json FILE           all numbers as JSON; - is standard output\n"
                            "  --plain               without drawing characters\n"
                            "  --quiet               print no words\n";

/* The place of the value of an option that takes one; NULL for a switch or an unknown name. */
static const char **value_place(options *o, const char *name)
{
    return strcmp(name, "--profile") == 0 ? &o->profile
           : strcmp(name, "--plane") == 0 ? &o->plane
           : strcmp(name, "--json") == 0  ? &o->json
                                          : NULL;
}

static bool *switch_place(options *o, const char *name)
{
    return strcmp(name, "--plain") == 0   ? &o->plain
           : strcmp(name, "--quiet") == 0 ? &o->quiet
           : strcmp(name, "--help") == 0  ? &o->help
                                          : NULL;
}

#define usage_fault(d, ...) sm_diag_add((d), SM_FAULT, (sm_place){0}, __VA_ARGS__)

static void read_options(int argc, char **argv, options *o, sm_diag *d)
{
    for (int i = 1; i < argc; i++) {
        const char **value = value_place(o, argv[i]);
        bool *on = switch_place(o, argv[i]);
        if (value && i + 1 < argc)
            *value = argv[++i];
        else if (value)
            usage_fault(d, "%s needs a value", argv[i]);
        else if (on)
            *on = true;
        else if (argv[i][0] == '-' && argv[i][1])
            usage_fault(d, "unknown option %s", argv[i]);
        else if (o->study)
            usage_fault(d, "one study at a time: %s is a second one", argv[i]);
        else
            o->study = argv[i];
    }
}

static void check_options(const options *o, sm_diag *d)
{
    if (!o->study)
        usage_fault(d, "name the file of the study");
    if (o->plane && strcmp(o->plane, "fixed") != 0 && strcmp(o->plane, "replaced") != 0)
        usage_fault(d, "--plane is fixed or replaced, not %s", o->plane);
    if (o->profile && !o->plane)
        usage_fault(d, "did each reader set the base plane anew? The study cannot tell. Say --plane replaced if so, "
                       "--plane fixed if "
                       "all readers measured from one plane");
}

/* 2. Learning */

typedef struct {
    options o;
    sm_diag d;
    sm_text csv, old_profile, words, json, profile;
    sm_reader_study study;
    sm_learned *learned;
} job;

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static sm_status learn(job *j)
{
    sm_status status = sm_file_read(j->o.study, &j->csv, &j->d);
    if (status == SM_OK)
        status = sm_study_csv_read((sm_file_text){j->o.study, j->csv.s, j->csv.len}, &j->d, &j->study);
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

/* Entries of all quantities that a profile takes and the study tells; the others are named in warnings. */
static size_t gather_entries(job *j, sm_profile_reader *entry, sm_text *source)
{
    size_t n = 0;
    for (size_t q = 0; q < j->study.n_quantities; q++) {
        const char *name = j->study.quantity[q].name;
        const sm_learned *l = &j->learned[q];
        if (!sm_profile_takes(name) || !sm_learned_is_usable(l)) {
            sm_diag_add(&j->d, SM_WARNING, (sm_place){.file = j->o.profile}, "%s was not written: %s", name,
                        sm_profile_takes(name) ? "the study cannot tell it" : "a profile has no such quantity");
            continue;
        }
        sm_learn_source_write(l, file_name(j->o.study), &source[n]);
        entry[n] = (sm_profile_reader){.quantity = name,
                                       .between_reader_sd_mm = l->between_sd.value,
                                       .repeat_sd_mm = l->repeat_sd.value >= 0.0 ? l->repeat_sd.value : 0.0,
                                       .dof = l->dof,
                                       .sd_includes_plane = strcmp(j->o.plane, "replaced") == 0,
                                       .source = source[n].s ? source[n].s : ""};
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
    sm_file_text old = {.name = j->o.profile};
    if (access(j->o.profile, F_OK) == 0 || errno != ENOENT) {
        sm_status status = sm_file_read(j->o.profile, &j->old_profile, &j->d);
        if (status != SM_OK)
            return status;
        old.text = j->old_profile.s ? j->old_profile.s : "";
        old.length = j->old_profile.len;
    }
    char *site = site_name(j->o.profile);
    sm_status status = site ? sm_profile_update(old, site, entry, n, &j->d, &j->profile) : SM_NO_MEMORY;
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
        size_t n = gather_entries(j, entry, source);
        status = update_profile(j, entry, n);
    }
    for (size_t i = 0; source && i < most; i++)
        sm_text_destroy(&source[i]);
    free(source);
    free(entry);
    return status;
}

/* 4. Outputs */

static sm_status write_text(const char *path, const sm_text *text, sm_diag *d)
{
    return text->failed ? SM_NO_MEMORY : sm_file_write_atomic(path, text->s ? text->s : "", text->len, d);
}

/* Everything is made before anything is written. */
static sm_status write_outputs(job *j)
{
    const options *o = &j->o;
    if (o->json)
        sm_study_json_write(&j->study, j->learned, file_name(o->study), &j->json);
    if (!o->quiet)
        sm_learn_text_write(&j->study, j->learned, (sm_learn_style){.plain = o->plain, .width = 80}, &j->words);
    sm_status status = o->profile ? make_profile(j) : SM_OK;
    if (status == SM_OK && o->profile)
        status = write_text(o->profile, &j->profile, &j->d);
    if (status == SM_OK && o->json)
        status = write_text(o->json, &j->json, &j->d);
    if (status == SM_OK && !o->quiet && !(o->json && strcmp(o->json, "-") == 0))
        status = write_text("-", &j->words, &j->d);
    return status;
}

/* 5. Command */

static void job_destroy(job *j)
{
    for (size_t q = 0; j->learned && q < j->study.n_quantities; q++)
        sm_learned_destroy(&j->learned[q]);
    free(j->learned);
    sm_reader_study_destroy(&j->study);
    sm_text_destroy(&j->csv);
    sm_text_destroy(&j->old_profile);
    sm_text_destroy(&j->words);
    sm_text_destroy(&j->json);
    sm_text_destroy(&j->profile);
    sm_diag_destroy(&j->d);
}

static sm_status run(job *j, int argc, char **argv)
{
    read_options(argc, argv, &j->o, &j->d);
    if (j->o.help)
        return fputs(usage, stdout) < 0 || fflush(stdout) != 0 ? SM_NOT_WRITTEN : SM_OK;
    check_options(&j->o, &j->d);
    if (j->d.faults)
        return SM_USAGE;
    sm_status status = learn(j);
    return status == SM_OK ? write_outputs(j) : status;
}

sm_status sm_cmd_learn(int argc, char **argv)
{
    job j = {0};
    sm_status status = run(&j, argc, argv);
    sm_text messages = {0};
    sm_diag_write(&j.d, &messages);
    if (messages.s)
        fputs(messages.s, stderr);
    if (status == SM_USAGE)
        fputs("see: slimmargin learn --help\n", stderr);
    else if (status != SM_OK && j.d.faults == 0)
        fprintf(stderr, "%s\n", sm_status_words(status));
    sm_text_destroy(&messages);
    job_destroy(&j);
    return status;
}
