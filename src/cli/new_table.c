/* new_table.c - cases from a table: all of them, or none.
 *
 * Contents: 1. checking  2. writing  3. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new_table.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/shown.h"
#include "newcase/cases_csv.h"
#include "cli/files.h"
#include "cli/session.h"

/* 1. Checking */

static sm_status tell(const sm_diag *d, const char *table, sm_status s)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    if (d->faults) {
        sm_text_shown(&text, table);
        sm_text_addf(&text, ": %zu fault%s found; nothing was written\n", d->faults, d->faults == 1 ? "" : "s");
    }
    return sm_terminal_tell(&text, s);
}

/* FOLDER/NAME.json */
static char *file_of(const char *folder, const sm_table_row *row)
{
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s.json", folder, row->name ? row->name : "unnamed");
    return sm_text_take(&path);
}

/* Checks one case with the profile that it names, as seen from where it will stand. */
static sm_status check_row(const sm_cases *cases, size_t i, const char *folder, sm_output_files *all, sm_diag *d)
{
    const sm_table_row *row = &cases->row[i];
    const sm_file_text text = {"case", row->draft.text.s, row->draft.text.len};
    char *path = file_of(folder, row), *named;
    sm_status s = sm_casefile_profile_path(text, &named);
    char *profile_path = path && named ? sm_file_beside(path, named) : NULL;
    sm_text profile = {0};
    s = path ? s : SM_NO_MEMORY;
    if (s == SM_OK && named)
        s = profile_path ? sm_file_read(profile_path, &profile, d) : SM_NO_MEMORY;
    if (s != SM_NO_MEMORY) {
        const bool have = s == SM_OK && named;
        const sm_file_text given = {
            .name = have ? profile_path : "", .text = have ? sm_text_string(&profile) : NULL, .length = profile.len};
        const sm_status checked = sm_cases_csv_check(cases, i, given, d);
        s = s == SM_OK || checked == SM_NO_MEMORY ? checked : s;
    }
    if (path && row->name && access(path, F_OK) == 0)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = cases->file, .line = row->line, .column = 1},
                    "%s stands there already: it would be overwritten", path);
    sm_outputs_reads(all, "the profile", profile_path);
    if (access(folder, F_OK) == 0) /* else nothing stands in it */
        sm_outputs_writes(all, "the case", path);
    sm_text_destroy(&profile);
    free(profile_path);
    free(named);
    free(path);
    return s;
}

static sm_status check_all(const sm_cases *cases, const char *folder, sm_output_files *all, sm_diag *d)
{
    enum { MESSAGES = 1000 }; /* more help nobody */
    sm_status s = SM_OK;
    size_t i = 0;
    for (; i < cases->n && s != SM_NO_MEMORY && d->n < MESSAGES; i++)
        s = check_row(cases, i, folder, all, d);
    sm_diag_sort(d, 0);
    if (i < cases->n)
        sm_diag_add(d, SM_WARNING, (sm_place){.file = cases->file},
                    "the rows after line %zu were not looked at: there are too many messages already",
                    cases->row[i - 1].line);
    return s == SM_NO_MEMORY || d->failed ? SM_NO_MEMORY : d->faults ? SM_REFUSED : SM_OK;
}

static sm_status check_outputs(sm_output_files *all, const char *table)
{
    sm_outputs_reads(all, "the table", table);
    sm_outputs_tells(all);
    return sm_outputs_check(all);
}

/* 2. Writing */

static void tell_written(const sm_cases *cases, const char *folder, sm_text *out)
{
    sm_text_addf(out, "%zu case%s written into ", cases->n, cases->n == 1 ? "" : "s");
    sm_text_shown(out, folder);
    sm_text_puts(out, "; each passes check.\nNow: slimmargin assess ");
    sm_text_shown(out, folder);
    sm_text_addf(out, "/%s.json\n", cases->row[0].name);
}

static sm_status write_all(sm_cases *cases, const char *folder)
{
    sm_staging staging = {0};
    sm_text words = {0};
    sm_status s = sm_staging_make_folder(&staging, folder, false);
    for (size_t i = 0; s == SM_OK && i < cases->n; i++) {
        char *path = file_of(folder, &cases->row[i]);
        s = path ? sm_staging_add(&staging, path, &cases->row[i].draft.text) : SM_NO_MEMORY;
        free(path);
    }
    tell_written(cases, folder, &words);
    if (s == SM_OK)
        s = sm_staging_add(&staging, "-", &words);
    if (s == SM_OK)
        s = sm_staging_commit(&staging);
    sm_staging_destroy(&staging);
    sm_text_destroy(&words);
    return s;
}

/* 3. All of it */

sm_status sm_new_table(const char *table, const char *folder)
{
    sm_text text = {0};
    sm_diag d = {0};
    sm_cases cases = {0};
    sm_output_files all = {0};
    const char *name = sm_session_is_standard(table) ? "standard input" : table;
    sm_status s = sm_file_read(table, &text, &d);
    if (s == SM_OK)
        s = sm_cases_csv_read((sm_file_text){name, sm_text_string(&text), text.len}, &d, &cases);
    if (s == SM_OK)
        s = check_all(&cases, folder, &all, &d);
    s = tell(&d, name, s);
    if (s == SM_OK)
        s = check_outputs(&all, table);
    if (s == SM_OK)
        s = write_all(&cases, folder);
    sm_outputs_destroy(&all);
    sm_cases_destroy(&cases);
    sm_text_destroy(&text);
    sm_diag_destroy(&d);
    return s;
}
