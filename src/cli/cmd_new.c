/* cmd_new.c - slimmargin new CASE: from nothing to a case, by questions, as a form, or many from a table.
 *
 * Contents: 1. options  2. the form and its guide  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "newcase/draft.h"
#include "cli/command.h"
#include "cli/files.h"
#include "cli/new_dialogue.h"
#include "cli/new_table.h"
#include "cli/session.h"
#include "report/guide/key_guide.h"

/* 1. Options */

const char sm_cmd_new_help[] = "On a terminal: asks for each value, with unit, range and default, checks it at\n"
                               "once, and writes the case at the end. Type back to return, leave to stop; what\n"
                               "was answered is kept in CASE.unfinished and taken up the next time.\n"
                               "With --template: writes a form with null in every blank, and an explanation of\n"
                               "every key beside it. No command takes a form that still has a blank.\n"
                               "With --from-csv: one case a row, into the folder CASE (docs/new.md).\n"
                               "A file that is there already is never overwritten. Give nothing that identifies\n"
                               "a patient.\n";

static sm_status complain(const char *words)
{
    sm_terminal_complain(words);
    return SM_USAGE;
}

/* 2. The form and its guide */

/* "case-keys.txt" beside "case.json". */
static char *guide_name(const char *path)
{
    sm_text name = {0};
    const size_t n = strlen(path);
    sm_text_putn(&name, path, n > 5 && strcmp(path + n - 5, ".json") == 0 ? n - 5 : n);
    sm_text_puts(&name, "-keys.txt");
    return sm_text_take(&name);
}

/* A guide of ours may be written anew; anything else of that name stays. */
static bool is_guide(const char *path)
{
    sm_text text = {0};
    sm_diag unused = {0};
    const bool ours = sm_file_read(path, &text, &unused) == SM_OK && text.s &&
                      strncmp(text.s, sm_key_guide_title, strlen(sm_key_guide_title)) == 0;
    sm_text_destroy(&text);
    sm_diag_destroy(&unused);
    return ours;
}

static sm_status refuse_overwriting(const char *path)
{
    sm_text words = {0};
    sm_text_addf(&words, "%s: stands there already and was not touched: give another name\n", path);
    sm_terminal_tell(&words);
    return SM_NOT_WRITTEN;
}

static sm_status write_guide(const char *path)
{
    static const sm_style style = {.width = 80};
    sm_text text = {0};
    sm_key_guide(&text, &style);
    return sm_session_send(path, &text);
}

static sm_status tell_form(const char *path, const char *guide)
{
    sm_text text = {0};
    sm_text_addf(&text,
                 "%s is a form: put your own value in place of every null.\n"
                 "%s explains every key.\n"
                 "Then: slimmargin check %s\n",
                 path, guide, path);
    return sm_session_send("-", &text);
}

static sm_status write_form(const char *path)
{
    static const char *const sides[] = {"left", "right", NULL};
    const bool standard = strcmp(path, "-") == 0;
    char *guide = guide_name(path);
    sm_draft form = {0};
    sm_status s = guide ? sm_draft_create(sides, false, &form) : SM_NO_MEMORY;
    if (s == SM_OK && !standard && access(path, F_OK) == 0)
        s = refuse_overwriting(path);
    if (s == SM_OK && !standard && access(guide, F_OK) == 0 && !is_guide(guide))
        s = refuse_overwriting(guide);
    if (s == SM_OK && !standard)
        s = write_guide(guide);
    if (s == SM_OK)
        s = sm_session_write(path, &form.text);
    if (s == SM_OK && !standard)
        s = tell_form(path, guide);
    sm_draft_destroy(&form);
    free(guide);
    return s;
}

/* 3. The command */

sm_status sm_cmd_new(const sm_options *o)
{
    const char *path = o->argument[0];
    if (o->template && o->from_csv)
        return complain("--template and --from-csv exclude each other\n");
    if (o->from_csv)
        return sm_new_table(o->from_csv, path);
    if (o->template)
        return write_form(path);
    if (strcmp(path, "-") == 0)
        return complain("new: the name of a file is needed; only --template can write to standard output\n");
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return complain("new: there is no terminal to ask on. Write a form with --template, or many cases with "
                        "--from-csv\n");
    return sm_new_dialogue(path);
}
