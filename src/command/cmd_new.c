/* cmd_new.c - slimmargin new CASE: from nothing to a case, by questions, as a form, many from a table, or from points.
 *
 * Contents: 1. options  2. the form and its guide  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "newcase/draft.h"
#include "command/command.h"
#include "outside/files.h"
#include "command/paths.h"
#include "outside/new_dialogue.h"
#include "command/new_points.h"
#include "command/new_table.h"
#include "command/session.h"
#include "report/guide/key_guide.h"

/* 1. Options */

const char sm_cmd_new_help[] = "On a terminal: asks for each value, with unit, range and default, checks it at\n"
                               "once, and writes the case at the end. Type back to return, leave to stop; what\n"
                               "was answered is kept in CASE.unfinished and taken up the next time.\n"
                               "With --template: writes a form with null in every blank, and an explanation of\n"
                               "every key beside it. No command takes a form that still has a blank.\n"
                               "With --from-csv: one case a row, into the folder CASE (docs/new.md).\n"
                               "With --from-points: heights, gaps and azimuths from points that were picked in\n"
                               "the scan; no number is typed. Files of further readers follow CASE.\n"
                               "A file that is there already is never overwritten. Give nothing that identifies\n"
                               "a patient.\n";

static sm_status complain(const char *words)
{
    return sm_terminal_complain(words, SM_USAGE);
}

/* 2. The form and its guide */

static sm_status refuse_overwriting(const char *path)
{
    sm_text words = {0};
    sm_text_shown(&words, path);
    sm_text_puts(&words, ": stands there already and was not touched: give another name\n");
    return sm_terminal_tell(&words, SM_NOT_WRITTEN);
}

/* A guide of ours may be written anew; anything else of that name stays. */
static sm_status check_guide(const char *path)
{
    sm_text text = {0};
    sm_diag unused = {0};
    const sm_status read = sm_file_read(path, &text, &unused);
    const bool ours = read == SM_OK && text.s && strncmp(text.s, sm_key_guide_title, strlen(sm_key_guide_title)) == 0;
    sm_text_destroy(&text);
    sm_diag_destroy(&unused);
    return ours ? SM_OK : read == SM_NO_MEMORY ? read : refuse_overwriting(path);
}

static void tell_form(const char *path, const char *guide, sm_text *out)
{
    sm_text_shown(out, path);
    sm_text_puts(out, " is a form: put your own value in place of every null.\n");
    sm_text_shown(out, guide);
    sm_text_puts(out, " explains every key.\nThen: slimmargin check ");
    sm_text_shown(out, path);
    sm_text_puts(out, "\n");
}

/* The form, its guide and the words about them: all or nothing. */
static sm_status write_both(const char *path, const char *guide, sm_draft *form)
{
    static const sm_style style = {.width = 80};
    sm_staging staging = {0};
    sm_text keys = {0}, words = {0};
    sm_key_guide(&keys, &style);
    tell_form(path, guide, &words);
    sm_status s = sm_staging_add(&staging, guide, &keys);
    if (s == SM_OK)
        s = sm_staging_add(&staging, path, &form->text);
    if (s == SM_OK)
        s = sm_staging_commit_with(&staging, "-", &words);
    sm_staging_destroy(&staging);
    sm_text_destroy(&words);
    return s;
}

static sm_status check_outputs(const char *path, const char *guide)
{
    sm_output_files all = {0};
    sm_outputs_writes(&all, "the form", path);
    sm_outputs_writes(&all, "its guide", guide);
    sm_outputs_tells(&all);
    sm_status s = sm_file_is_there(path)    ? refuse_overwriting(path)
                  : sm_file_is_there(guide) ? check_guide(guide)
                                            : SM_OK;
    if (s == SM_OK)
        s = sm_outputs_check(&all);
    sm_outputs_destroy(&all);
    return s;
}

static sm_status write_form(const char *path)
{
    static const char *const sides[] = {"left", "right", NULL};
    char *guide = sm_path_ending(path, ".json", "-keys.txt");
    sm_draft form = {0};
    sm_status s = guide ? sm_draft_create(sides, false, &form) : SM_NO_MEMORY;
    if (s == SM_OK && sm_session_is_standard(path))
        s = sm_session_send(path, &form.text);
    else if (s == SM_OK) {
        s = check_outputs(path, guide);
        s = s == SM_OK ? write_both(path, guide, &form) : s;
    }
    sm_draft_destroy(&form);
    free(guide);
    return s;
}

/* 3. The command */

/* What has no meaning beside what else was said. */
static const char *no_meaning(const sm_options *o)
{
    const bool of_points = o->axes || o->circle || o->reader || o->onto;
    if (o->template + (o->from_csv != NULL) + (o->from_points != NULL) > 1)
        return "--template, --from-csv and --from-points exclude each other\n";
    if (of_points && !o->from_points)
        return "--axes, --circle, --reader and --onto: have a meaning only with --from-points\n";
    if (o->n_arguments > 1 && !o->from_points)
        return "new: takes 1 file: CASE; more than one was found\n";
    return NULL;
}

sm_status sm_cmd_new(const sm_options *o)
{
    const char *path = o->argument[0], *wrong = no_meaning(o);
    if (wrong)
        return complain(wrong);
    if (o->from_csv)
        return sm_new_table(o->from_csv, path);
    if (o->from_points)
        return sm_new_points(o);
    if (o->template)
        return write_form(path);
    if (strcmp(path, "-") == 0)
        return complain("new: the name of a file is needed; only --template and --from-points can write to standard "
                        "output\n");
    return sm_new_dialogue(path);
}
