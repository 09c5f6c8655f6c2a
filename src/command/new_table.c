/* new_table.c - cases from a table: all of them, or none.
 *
 * Contents: 1. checking  2. writing  3. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/new_table.h"

#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "newcase/cases_csv.h"
#include "outside/files.h"
#include "command/paths.h"
#include "command/session.h"

typedef struct {
    const char *folder;
    sm_cases cases;
    bool *there; /* by row: stands there already, the same */
    sm_output_files all;
} job;

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

static size_t length_without_slashes(const char *folder)
{
    size_t n = strlen(folder);
    while (n > 1 && folder[n - 1] == '/')
        n--;
    return n;
}

/* FOLDER/NAME.json */
static char *file_of(const char *folder, const sm_table_row *row)
{
    sm_text path = {0};
    sm_text_putn(&path, folder, length_without_slashes(folder));
    sm_text_addf(&path, "/%s.json", row->name ? row->name : "unnamed");
    return sm_text_take(&path);
}

/* The profile that a case in the folder names. A folder not yet made has no way up: "../site.json" stands beside it. */
static char *profile_of(const char *folder, const char *path, const char *named)
{
    static const char up[] = "../";
    if (sm_file_is_there(folder) || strncmp(named, up, strlen(up)) != 0)
        return sm_path_beside(path, named);
    char *above = sm_string_copyn(folder, length_without_slashes(folder)),
         *found = above ? sm_path_beside(above, named + strlen(up)) : NULL;
    free(above);
    return found;
}

/* Whether the file holds just that text. */
static sm_status holds(const char *path, const sm_text *text, bool *same)
{
    sm_text there = {0};
    sm_diag unread = {0};
    const sm_status s = sm_file_read(path, &there, &unread);
    *same = s == SM_OK && there.len == text->len && memcmp(sm_text_string(&there), text->s, text->len) == 0;
    sm_text_destroy(&there);
    sm_diag_destroy(&unread);
    return s == SM_NO_MEMORY ? s : SM_OK;
}

/* Checks one case with its profile, as seen from where it will stand. */
static sm_status check_case(const sm_cases *cases, size_t i, const char *profile_path, sm_diag *d)
{
    sm_text profile = {0};
    sm_status s = profile_path ? sm_file_read(profile_path, &profile, d) : SM_OK;
    if (s != SM_NO_MEMORY) {
        const bool have = s == SM_OK && profile_path;
        const sm_file_text given = {
            .name = have ? profile_path : "", .text = have ? sm_text_string(&profile) : NULL, .length = profile.len};
        const sm_status checked = sm_cases_csv_check(cases, i, given, d);
        s = s == SM_OK || checked == SM_NO_MEMORY ? checked : s;
    }
    sm_text_destroy(&profile);
    return s;
}

/* A file that stands there is left if it is the same, so that rows can be added to a table; another is a fault. */
static sm_status check_place(const job *j, size_t i, const char *path, sm_diag *d)
{
    const sm_table_row *row = &j->cases.row[i];
    if (!row->name || !sm_file_is_there(path))
        return SM_OK;
    const sm_status s = holds(path, &row->draft.text, &j->there[i]);
    if (s == SM_OK && !j->there[i])
        sm_diag_add(d, SM_FAULT, (sm_place){.file = j->cases.file, .line = row->line, .column = 1},
                    "%s stands there already and says something else: it would be overwritten", path);
    return s;
}

static sm_status check_row(job *j, size_t i, sm_diag *d)
{
    const sm_table_row *row = &j->cases.row[i];
    const sm_file_text text = {"case", row->draft.text.s, row->draft.text.len};
    char *path = file_of(j->folder, row), *named;
    sm_status s = sm_casefile_profile_path(text, &named);
    char *profile_path = path && named ? profile_of(j->folder, path, named) : NULL;
    if (!path || (named && !profile_path))
        s = SM_NO_MEMORY;
    if (s == SM_OK)
        s = check_case(&j->cases, i, profile_path, d);
    if (s != SM_NO_MEMORY && check_place(j, i, path, d) != SM_OK)
        s = SM_NO_MEMORY;
    if (s != SM_NO_MEMORY)
        sm_outputs_reads(&j->all, "the profile", profile_path);
    if (s != SM_NO_MEMORY && sm_file_is_there(j->folder)) /* else nothing stands in it */
        sm_outputs_writes(&j->all, "the case", path);
    free(profile_path);
    free(named);
    free(path);
    return s;
}

static sm_status check_all(job *j, sm_diag *d)
{
    enum { MESSAGES = 1000 }; /* more help nobody */
    const sm_cases *cases = &j->cases;
    sm_status s = SM_OK;
    size_t i = 0;
    j->there = calloc(cases->n ? cases->n : 1, sizeof *j->there);
    if (!j->there)
        return SM_NO_MEMORY;
    for (; i < cases->n && s != SM_NO_MEMORY && d->n < MESSAGES; i++)
        s = check_row(j, i, d);
    sm_diag_sort(d, 0);
    if (i < cases->n)
        sm_diag_add(d, SM_WARNING, (sm_place){.file = cases->file},
                    "the rows after line %zu were not looked at: there are too many messages already",
                    cases->row[i - 1].line);
    return s == SM_NO_MEMORY || d->failed ? SM_NO_MEMORY : d->faults ? SM_REFUSED : SM_OK;
}

static sm_status check_folder(const char *folder)
{
    sm_text words = {0};
    if (!sm_file_is_there(folder) || sm_file_is_folder(folder))
        return SM_OK;
    sm_text_shown(&words, folder);
    sm_text_puts(&words, ": stands there already and is no folder\n");
    return sm_terminal_tell(&words, SM_NOT_WRITTEN);
}

static sm_status check_outputs(sm_output_files *all, const char *table)
{
    sm_outputs_reads(all, "the table", table);
    sm_outputs_tells(all);
    return sm_outputs_check(all);
}

/* 2. Writing */

static size_t count_there(const job *j)
{
    size_t n = 0;
    for (size_t i = 0; i < j->cases.n; i++)
        n += j->there[i];
    return n;
}

static void tell_written(const job *j, sm_text *out)
{
    const size_t old = count_there(j), new = j->cases.n - old;
    sm_text_addf(out, "%zu case%s written into ", new, new == 1 ? "" : "s");
    sm_text_shown(out, j->folder);
    if (old > 0)
        sm_text_addf(out, ", %zu stood there as the table has %s", old, old == 1 ? "it" : "them");
    sm_text_puts(out, "; each passes check.\nNow: slimmargin assess ");
    char *first = file_of(j->folder, &j->cases.row[0]);
    sm_text_shown(out, first ? first : "");
    sm_text_puts(out, "\n");
    out->failed |= !first;
    free(first);
}

static sm_status write_all(job *j)
{
    sm_staging staging = {0};
    sm_text words = {0};
    sm_status s = sm_staging_make_folder(&staging, j->folder, false);
    for (size_t i = 0; s == SM_OK && i < j->cases.n; i++) {
        if (j->there[i])
            continue;
        char *path = file_of(j->folder, &j->cases.row[i]);
        s = path ? sm_staging_add(&staging, path, &j->cases.row[i].draft.text) : SM_NO_MEMORY;
        free(path);
    }
    tell_written(j, &words);
    if (s == SM_OK)
        s = sm_staging_commit_with(&staging, "-", &words);
    sm_staging_destroy(&staging);
    sm_text_destroy(&words);
    return s;
}

/* 3. All of it */

sm_status sm_new_table(const char *table, const char *folder)
{
    sm_text text = {0};
    sm_diag d = {0};
    job j = {.folder = folder};
    const char *name = sm_session_spoken_name(table);
    sm_status s = check_folder(folder);
    if (s != SM_OK)
        return s;
    s = sm_file_read(table, &text, &d);
    if (s == SM_OK)
        s = sm_cases_csv_read((sm_file_text){name, sm_text_string(&text), text.len}, &d, &j.cases);
    if (s == SM_OK)
        s = check_all(&j, &d);
    s = tell(&d, name, s);
    if (s == SM_OK)
        s = check_outputs(&j.all, table);
    if (s == SM_OK)
        s = write_all(&j);
    sm_outputs_destroy(&j.all);
    sm_cases_destroy(&j.cases);
    free(j.there);
    sm_text_destroy(&text);
    sm_diag_destroy(&d);
    return s;
}
