/* new_points.c - a case from points that readers picked in a scan.
 *
 * Contents: 1. what the command line says  2. reading  3. telling  4. writing  5. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/new_points.h"

#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "casefile/value.h"
#include "outside/files.h"
#include "command/session.h"
#include "newcase/points_case.h"
#include "report/blocks/write.h"
#include "report/text/new_text.h"

typedef struct {
    const char *path, *file[SM_POINTS_READERS], *onto;
    size_t n; /* files */
    char reader[SM_POINTS_READERS][SM_NAME_SIZE];
    sm_axes axes;
    double circle_mm;
    sm_points_by_reader by[SM_POINTS_READERS];
    sm_draft draft;
    sm_style style;
} job;

/* 1. What the command line says */

/* Adds a complaint about an option's value. */
static void wrong_value(sm_text *out, const char *option, const char *value, const char *expected)
{
    sm_text_addf(out, "%s ", option);
    sm_text_shown(out, value);
    sm_text_addf(out, ": expected %s\n", expected);
}

static void read_circle(job *j, const char *s, sm_text *wrong)
{
    const sm_key *key = sm_keys_find(&sm_keys_coronary, "circle_mm");
    if (!sm_points_number(s, false, &j->circle_mm) || j->circle_mm < key->low || j->circle_mm > key->high) {
        sm_text expected = {0};
        sm_text_addf(&expected, "a diameter from %g to %g (mm)", key->low, key->high);
        wrong_value(wrong, "--circle", s, sm_text_string(&expected));
        sm_text_done(&expected, wrong);
    }
}

/* A name for each file: "A,B", or letters in their order. */
static void read_names(job *j, const char *given, sm_text *wrong)
{
    size_t n = 0;
    for (; n < j->n && !given; n++)
        j->reader[n][0] = (char)('A' + n);
    for (const char *s = given; s; n++) {
        const size_t length = strcspn(s, ",");
        if (n < j->n && length < SM_NAME_SIZE)
            memcpy(j->reader[n], s, length);
        for (size_t i = 0; i < n && n < j->n; i++)
            if (strcmp(j->reader[i], j->reader[n]) == 0)
                j->reader[n][0] = '\0'; /* one reader has one file */
        if (n < j->n && !sm_value_is_name(j->reader[n], "_-", SM_NAME_SIZE - 1))
            break;
        s = s[length] ? s + length + 1 : NULL;
    }
    if (n != j->n)
        wrong_value(wrong, "--reader", given,
                    "a name of letters, digits, _ or - for each file, all different, with commas between");
}

static sm_status read_options(job *j, const sm_options *o)
{
    sm_text wrong = {0};
    j->path = o->argument[0];
    j->onto = o->onto;
    j->file[j->n++] = o->from_points;
    for (int i = 1; i < o->n_arguments; i++)
        j->file[j->n++] = o->argument[i];
    if (o->axes && !sm_axes_read(o->axes, &j->axes))
        wrong_value(&wrong, "--axes", o->axes, "lps or ras");
    if (o->circle)
        read_circle(j, o->circle, &wrong);
    read_names(j, o->reader, &wrong);
    if (wrong.len || wrong.failed)
        return sm_terminal_tell(&wrong, SM_USAGE);
    return SM_OK;
}

/* 2. Reading */

static sm_status read_points(job *j, size_t i, sm_diag *d)
{
    sm_text text = {0};
    j->by[i].reader = j->reader[i];
    sm_status s = sm_file_read(j->file[i], &text, d);
    if (s == SM_OK)
        s = sm_points_csv_read((sm_file_text){sm_session_spoken_name(j->file[i]), sm_text_string(&text), text.len},
                               j->axes, d, &j->by[i].points);
    sm_text_destroy(&text);
    return s;
}

/* The form or case that the readings go into. */
static sm_status read_rest(job *j, sm_diag *d)
{
    static const char *const no_sides[] = {NULL};
    sm_text text = {0};
    if (!j->onto)
        return sm_draft_create(no_sides, false, &j->draft);
    sm_status s = sm_file_read(j->onto, &text, d);
    if (s == SM_OK)
        s = sm_draft_read((sm_file_text){sm_session_spoken_name(j->onto), sm_text_string(&text), text.len}, d,
                          &j->draft);
    sm_text_destroy(&text);
    return s;
}

/* Every file, so that the faults of all are told in one run. */
static sm_status read_all(job *j, sm_diag *d)
{
    sm_status s = read_rest(j, d);
    for (size_t i = 0; i < j->n && s != SM_NO_MEMORY; i++) {
        const sm_status read = read_points(j, i, d);
        s = s == SM_OK || read == SM_NO_MEMORY ? read : s;
    }
    if (s == SM_OK)
        s = sm_points_case(j->by, j->n, j->circle_mm, d, &j->draft);
    return s == SM_NO_MEMORY || d->failed ? SM_NO_MEMORY : s;
}

static sm_status tell_faults(const sm_diag *d, sm_status s)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    if (d->faults)
        sm_text_addf(&text, "%zu fault%s found; nothing was written\n", d->faults, d->faults == 1 ? "" : "s");
    return sm_terminal_tell(&text, s);
}

/* 3. Telling */

/* "Left: ostium gap: 5.7 by A; 5.9 by B", for what the points gave. Returns what stands at the question. */
static sm_answer_state tell_one(const job *j, const sm_question *q, sm_text *out)
{
    sm_text json = {0}, line = {0}, shown = {0};
    const sm_answer_state state = sm_draft_state(&j->draft, q, &json);
    if (state == SM_ANSWER_GIVEN && q->side[0] && q->kind == SM_QUESTION_KEY) {
        sm_question_words(q, &line);
        sm_text_puts(&line, ": ");
        if (!sm_draft_words(q, sm_text_string(&json), &line))
            sm_text_addf(&line, "%s %s", sm_text_string(&json), q->key->unit);
        sm_text_shown(&shown, sm_text_string(&line));
        sm_layout_words(out, &j->style, 2, 4, &shown);
    }
    sm_text_done(&json, out);
    sm_text_done(&line, out);
    sm_text_done(&shown, out);
    return state;
}

static void tell_next(const job *j, size_t blanks, sm_text *out)
{
    sm_text words = {0};
    if (blanks)
        sm_text_addf(&words, "%zu blank%s left that points do not fill. Now: slimmargin new ", blanks,
                     blanks == 1 ? " is" : "s are");
    else
        sm_text_puts(&words, "Now: slimmargin check ");
    sm_text_shown(&words, j->path);
    if (blanks)
        sm_text_puts(&words, ", which asks for what is missing");
    sm_layout_words(out, &j->style, 0, 0, &words);
}

/* A case without blanks, in words and to scale. */
static sm_status read_back(const job *j, sm_text *out)
{
    sm_diag told = {0}; /* before */
    sm_casefile *f;
    sm_blocks b = {0};
    const sm_status s = sm_draft_case(&j->draft, &told, &f);
    if (s == SM_OK) {
        sm_new_last_look(&b, sm_casefile_case(f));
        sm_write_text(out, &j->style, &b);
        sm_text_puts(out, "\n");
    }
    sm_blocks_destroy(&b);
    sm_casefile_destroy(f);
    sm_diag_destroy(&told);
    return s;
}

/* What was understood, for a last look. */
static sm_status tell_written(const job *j, sm_text *out)
{
    sm_question *q;
    sm_text words = {0};
    size_t n, blanks = 0;
    bool unknown = false;
    sm_status s = sm_draft_questions(&j->draft, &q, &n);
    sm_text_shown(&words, j->path);
    sm_text_addf(&words,
                 " has the readings of %zu reader%s (axes %s). Azimuth 0 is toward %s, counted "
                 "counter-clockwise seen from the aorta. Heights and gaps are in mm.",
                 j->n, j->n == 1 ? "" : "s", j->by[0].points.axes == SM_AXES_RAS ? "ras" : "lps",
                 j->by[0].points.fixed[SM_POINT_AZIMUTH_0].line ? "azimuth_0" : "base_1");
    sm_layout_words(out, &j->style, 0, 0, &words);
    for (size_t i = 0; s == SM_OK && i < n; i++) {
        const sm_answer_state state = tell_one(j, &q[i], out);
        blanks += state == SM_ANSWER_BLANK;
        unknown |= state == SM_ANSWER_UNKNOWN;
    }
    if (s == SM_OK && !blanks)
        s = read_back(j, out);
    tell_next(j, blanks, out);
    free(q);
    return unknown || out->failed ? SM_NO_MEMORY : s;
}

/* 4. Writing */

static sm_status check_outputs(const job *j)
{
    sm_output_files all = {0};
    sm_text words = {0};
    if (!sm_session_is_standard(j->path) && sm_file_is_there(j->path)) {
        sm_text_shown(&words, j->path);
        sm_text_puts(&words, ": stands there already and was not touched: give another name\n");
        return sm_terminal_tell(&words, SM_NOT_WRITTEN);
    }
    for (size_t i = 0; i < j->n; i++)
        sm_outputs_reads(&all, "the points", j->file[i]);
    sm_outputs_reads(&all, "--onto", j->onto);
    sm_outputs_writes(&all, "the case", j->path);
    if (!sm_session_is_standard(j->path))
        sm_outputs_tells(&all);
    const sm_status s = sm_outputs_check(&all);
    sm_outputs_destroy(&all);
    return s;
}

/* The case and the words about it: both or none. */
static sm_status write_case(job *j)
{
    sm_staging staging = {0};
    sm_text words = {0};
    if (sm_session_is_standard(j->path))
        return sm_session_send(j->path, &j->draft.text);
    sm_status s = tell_written(j, &words);
    if (s == SM_OK)
        s = sm_staging_add(&staging, j->path, &j->draft.text);
    if (s == SM_OK)
        s = sm_staging_commit_with(&staging, "-", &words);
    sm_staging_destroy(&staging);
    sm_text_destroy(&words);
    return s;
}

/* 5. All of it */

sm_status sm_new_points(const sm_options *o)
{
    job j = {.style = sm_terminal_style(false)};
    sm_diag d = {0};
    sm_status s = read_options(&j, o);
    if (s == SM_OK)
        s = check_outputs(&j);
    if (s == SM_OK) {
        s = read_all(&j, &d);
        s = tell_faults(&d, s);
    }
    if (s == SM_OK)
        s = write_case(&j);
    for (size_t i = 0; i < j.n; i++)
        sm_points_destroy(&j.by[i].points);
    sm_draft_destroy(&j.draft);
    sm_diag_destroy(&d);
    return s;
}
