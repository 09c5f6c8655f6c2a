/* selfcheck_text.c - the self-check as a table that a site can file.
 *
 * Contents: 1. one check  2. groups  3. sources  4. the closing sentence  5. the report
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/selfcheck_text.h"

#include <math.h>
#include <string.h>

#include "report/json/result_json.h"

/* 1. One check */

static const char *verdict(const sm_check *c)
{
    return c->pass ? "pass" : "FAIL";
}

/* Whole numbers stand in full. */
static void number(sm_text *out, double x)
{
    sm_text_addf(out, x == floor(x) && fabs(x) < 1e12 ? " %13.0f" : " %13.8g", x);
}

/* Name 32, expected 13, got 13, tolerance 9, verdict 4: 78 columns. */
static void table_row(sm_text *out, const sm_style *style, const sm_check *c)
{
    sm_text_addf(out, "  %-32s", c->name);
    number(out, c->expected);
    number(out, c->got);
    sm_text_addf(out, " %9.2g  ", c->tolerance);
    sm_layout_paint(out, style, c->pass ? SM_PAINT_NONE : SM_PAINT_CROSSING, verdict(c));
    sm_text_puts(out, "\n");
}

static void sentence(sm_text *out, const sm_style *style, const sm_check_group *g, const sm_check *c)
{
    sm_text words = {0};
    sm_text_addf(&words, "%s, %s: expected %.8g, got %.8g, tolerance %.2g: %s.", g->title, c->name, c->expected, c->got,
                 c->tolerance, verdict(c));
    sm_layout_words(out, style, 0, 2, &words);
}

/* 2. Groups */

/* The first group that has the source and sight of group g. */
static int first_of_source(const sm_checks *t, int g)
{
    int same = 0;
    while (strcmp(t->group[same].source, t->group[g].source) != 0 || t->group[same].seen != t->group[g].seen)
        same++;
    return same;
}

/* Sources are numbered from 1 in the order of their first groups. */
static int source_number(const sm_checks *t, int g)
{
    int number = 0;
    for (int i = 0; i <= first_of_source(t, g); i++)
        number += first_of_source(t, i) == i;
    return number;
}

static void group_text(sm_text *out, const sm_style *style, const sm_checks *t, int g)
{
    const sm_check_group *group = &t->group[g];
    if (!style->plain)
        sm_text_addf(out, "%s [%d]\n", group->title, source_number(t, g));
    for (int i = group->first; i < group->first + group->n; i++)
        if (style->plain)
            sentence(out, style, group, &t->check[i]);
        else
            table_row(out, style, &t->check[i]);
}

/* 3. Sources */

static void sources_text(sm_text *out, const sm_style *style, const sm_checks *t)
{
    sm_layout_title(out, style, "Where the expected values come from");
    for (int g = 0; g < t->n_groups; g++) {
        sm_text words = {0};
        if (first_of_source(t, g) != g)
            continue;
        sm_text_addf(&words, "[%d] %s: %s", source_number(t, g), t->group[g].source, sm_seen_words(t->group[g].seen));
        sm_layout_words(out, style, 0, 5, &words);
    }
}

/* 4. The closing sentence */

static void closing(sm_text *out, const sm_style *style, const sm_checks *t)
{
    sm_text words = {0};
    if (t->failures == 0)
        sm_text_addf(&words,
                     "All %d checks pass: on this machine the program gives the published answers. That says nothing "
                     "of any reading or assumption of a case.",
                     t->n);
    else
        sm_text_addf(&words, "%d of %d checks FAIL: do not rely on any result of this program on this machine.",
                     t->failures, t->n);
    sm_layout_words(out, style, 0, 0, &words);
}

/* 5. The report */

void sm_selfcheck_text(sm_text *out, const sm_style *style, const sm_checks *t, uint64_t seed, int64_t trials)
{
    sm_text title = {0};
    sm_text_addf(&title, "slimmargin %s, self-check: %d checks, seed %llu, %lld trials each", sm_result_version(), t->n,
                 (unsigned long long)seed, (long long)trials);
    sm_layout_title(out, style, sm_text_string(&title));
    sm_text_done(&title, out);
    if (!style->plain)
        sm_text_addf(out, "  %-32s %13s %13s %9s\n", "check", "expected", "got", "tolerance");
    for (int g = 0; g < t->n_groups; g++)
        group_text(out, style, t, g);
    sm_text_puts(out, "\n");
    sources_text(out, style, t);
    sm_text_puts(out, "\n");
    closing(out, style, t);
}

void sm_selfcheck_text_quiet(sm_text *out, const sm_style *style, const sm_checks *t)
{
    for (int i = 0; i < t->n; i++)
        if (!t->check[i].pass)
            sentence(out, style, &t->group[t->check[i].group], &t->check[i]);
    closing(out, style, t);
}
