/* new_table.c - cases from a table: all of them, or none.
 *
 * Contents: 1. checking  2. writing  3. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new_table.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "newcase/cases_csv.h"
#include "cli/files.h"
#include "cli/session.h"

/* 1. Checking */

static void tell(const sm_diag *d, const char *table)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    if (d->faults)
        sm_text_addf(&text, "%s: %zu fault%s found; nothing was written\n", table, d->faults,
                     d->faults == 1 ? "" : "s");
    sm_terminal_tell(&text);
}

/* FOLDER/NAME.json */
static char *file_of(const char *folder, const sm_table_row *row)
{
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s.json", folder, row->name ? row->name : "unnamed");
    return sm_text_take(&path);
}

/* Checks one case with the profile that it names, as seen from where it will stand. */
static sm_status check_row(const sm_cases *cases, size_t i, const char *folder, sm_diag *d)
{
    const sm_table_row *row = &cases->row[i];
    const sm_file_text text = {"case", row->draft.text.s, row->draft.text.len};
    char *path = file_of(folder, row), *named = sm_casefile_profile_path(text);
    char *profile_path = path && named ? sm_file_beside(path, named) : NULL;
    sm_text profile = {0};
    sm_status s = path ? SM_OK : SM_NO_MEMORY;
    if (s == SM_OK && named)
        s = profile_path ? sm_file_read(profile_path, &profile, d) : SM_NO_MEMORY;
    if (s != SM_NO_MEMORY) {
        const bool have = s == SM_OK && named;
        const sm_file_text given = {
            .name = have ? profile_path : "", .text = have ? sm_text_string(&profile) : NULL, .length = profile.len};
        const sm_status checked = sm_cases_csv_check(cases, i, given, d);
        s = s == SM_OK ? checked : s;
    }
    if (path && row->name && access(path, F_OK) == 0)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = cases->file, .line = row->line, .column = 1},
                    "%s stands there already: it would be overwritten", path);
    sm_text_destroy(&profile);
    free(profile_path);
    free(named);
    free(path);
    return s;
}

static sm_status check_all(const sm_cases *cases, const char *folder, sm_diag *d)
{
    enum { MESSAGES = 1000 }; /* more help nobody */
    sm_status s = SM_OK;
    size_t i = 0;
    for (; i < cases->n && s != SM_NO_MEMORY && d->n < MESSAGES; i++)
        s = check_row(cases, i, folder, d);
    sm_diag_sort(d, 0);
    if (i < cases->n)
        sm_diag_add(d, SM_WARNING, (sm_place){.file = cases->file},
                    "the rows after line %zu were not looked at: there are too many messages already",
                    cases->row[i - 1].line);
    return s == SM_NO_MEMORY || d->failed ? SM_NO_MEMORY : d->faults ? SM_REFUSED : SM_OK;
}

/* 2. Writing */

static sm_status make_folder(const char *folder, bool *made)
{
    *made = mkdir(folder, 0777) == 0;
    if (*made || errno == EEXIST)
        return SM_OK;
    sm_text words = {0};
    sm_text_addf(&words, "%s: the folder cannot be made: %s\n", folder, strerror(errno));
    sm_terminal_tell(&words);
    return SM_NOT_WRITTEN;
}

/* A failure takes back what was written before it. */
static sm_status write_all(const sm_cases *cases, const char *folder)
{
    bool made;
    sm_status s = make_folder(folder, &made);
    size_t n = 0;
    if (s != SM_OK)
        return s;
    for (; n < cases->n && s == SM_OK; n++) {
        char *path = file_of(folder, &cases->row[n]);
        s = path ? sm_session_write(path, &cases->row[n].draft.text) : SM_NO_MEMORY;
        free(path);
    }
    for (; s != SM_OK && n > 0; n--) {
        char *path = file_of(folder, &cases->row[n - 1]);
        if (path)
            unlink(path);
        free(path);
    }
    if (s != SM_OK && made)
        rmdir(folder);
    return s;
}

static sm_status tell_written(const sm_cases *cases, const char *folder)
{
    sm_text text = {0};
    sm_text_addf(&text, "%zu case%s written into %s; each passes check.\nNow: slimmargin assess %s/%s.json\n", cases->n,
                 cases->n == 1 ? "" : "s", folder, folder, cases->row[0].name);
    return sm_session_send("-", &text);
}

/* 3. All of it */

sm_status sm_new_table(const char *table, const char *folder)
{
    sm_text text = {0};
    sm_diag d = {0};
    sm_cases cases = {0};
    const char *name = sm_session_is_standard(table) ? "standard input" : table;
    sm_status s = sm_file_read(table, &text, &d);
    if (s == SM_OK)
        s = sm_cases_csv_read((sm_file_text){name, sm_text_string(&text), text.len}, &d, &cases);
    if (s == SM_OK)
        s = check_all(&cases, folder, &d);
    tell(&d, name);
    if (s == SM_OK)
        s = write_all(&cases, folder);
    if (s == SM_OK)
        s = tell_written(&cases, folder);
    sm_cases_destroy(&cases);
    sm_text_destroy(&text);
    sm_diag_destroy(&d);
    return s;
}
