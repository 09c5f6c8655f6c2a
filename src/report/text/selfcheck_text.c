/* selfcheck_text.c - the self-check as a table that a site can file.
 *
 * Contents: 1. one check  2. groups  3. sources  4. the closing sentence  5. the report
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/selfcheck_text.h"

#include <math.h>
#include <string.h>

#include "report/blocks/write.h"
#include "report/json/result_json.h"

/* 1. One check */

static const char *verdict(const sm_check *c)
{
    return c->pass ? "pass" : "FAIL";
}

/* As drawn: whole numbers in full; as said. */
static void number(sm_blocks *b, double x)
{
    sm_text_addf(sm_block_words(b, SM_CELL), x == floor(x) && fabs(x) < 1e12 ? "%.0f" : "%.8g", x);
    sm_text_addf(sm_block_words(b, SM_SAID), "%.8g", x);
}

static void row(sm_blocks *b, const sm_check_group *g, const sm_check *c)
{
    sm_text_addf(sm_block_words(b, SM_ROW), "  %s", c->name);
    sm_text_addf(sm_block_words(b, SM_SAID), "%s, %s", g->title, c->name);
    number(b, c->expected);
    number(b, c->got);
    sm_text_addf(sm_block_words(b, SM_CELL), "%.2g", c->tolerance);
    sm_text_addf(sm_block_words(b, SM_SAID), "%.2g: %s", c->tolerance, verdict(c));
    sm_block_say(b, SM_CELL, verdict(c));
    sm_block_say(b, SM_SAID, "");
}

/* Headings stand above the first group alone. Together 78 columns. */
static void table(sm_blocks *b, bool headed)
{
    const sm_told_column column[] = {{.head = headed ? "  check" : NULL, .width = 35},
                                     {headed ? "expected" : NULL, 13, SM_RIGHT, .before = "expected "},
                                     {headed ? "got" : NULL, 14, SM_RIGHT, .before = "got "},
                                     {headed ? "tolerance" : NULL, 10, SM_RIGHT, .before = "tolerance "},
                                     {NULL, 4, SM_LEFT, .gap = 2}};
    sm_block_table(b, &(sm_told_table){0}, column, sizeof column / sizeof *column);
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

static void group(sm_blocks *b, const sm_checks *t, int g)
{
    const sm_check_group *of = &t->group[g];
    sm_block_say(b, SM_SAY, "");
    sm_text_addf(sm_block_words(b, SM_DRAWN), "%s [%d]", of->title, source_number(t, g));
    table(b, false);
    for (int i = of->first; i < of->first + of->n; i++)
        row(b, of, &t->check[i]);
}

/* 3. Sources */

static void sources(sm_blocks *b, const sm_checks *t)
{
    sm_block_say(b, SM_TITLE, "Where the expected values come from");
    for (int g = 0; g < t->n_groups; g++)
        if (first_of_source(t, g) == g)
            sm_text_addf(sm_block_words(b, SM_NUMBERED), "[%d] %s: %s", source_number(t, g), t->group[g].source,
                         sm_seen_words(t->group[g].seen));
}

/* 4. The closing sentence */

static void closing(sm_text *out, const sm_checks *t)
{
    if (t->failures == 0)
        sm_text_addf(out,
                     "All %d checks pass: on this machine the program gives the published answers. That says nothing "
                     "of any reading or assumption of a case.",
                     t->n);
    else
        sm_text_addf(out, "%d of %d checks FAIL: do not rely on any result of this program on this machine.",
                     t->failures, t->n);
}

/* 5. The report */

void sm_selfcheck_text(sm_text *out, const sm_style *style, const sm_checks *t, uint64_t seed, int64_t trials)
{
    sm_blocks b = {0};
    sm_text_addf(sm_block_words(&b, SM_TITLE), "slimmargin %s, self-check: %d checks, seed %llu, %lld trials each",
                 sm_result_version(), t->n, (unsigned long long)seed, (long long)trials);
    table(&b, true);
    for (int g = 0; g < t->n_groups; g++)
        group(&b, t, g);
    sm_block_say(&b, SM_GAP, "");
    sources(&b, t);
    sm_block_say(&b, SM_GAP, "");
    closing(sm_block_words(&b, SM_SAY), t);
    sm_write_text(out, style, &b);
}

void sm_selfcheck_text_quiet(sm_text *out, const sm_style *style, const sm_checks *t)
{
    sm_blocks b = {0};
    for (int i = 0; i < t->n; i++)
        if (!t->check[i].pass) {
            const sm_check *c = &t->check[i];
            sm_text_addf(sm_block_words(&b, SM_SAY), "%s, %s: expected %.8g, got %.8g, tolerance %.2g: %s.",
                         t->group[c->group].title, c->name, c->expected, c->got, c->tolerance, verdict(c));
        }
    closing(sm_block_words(&b, SM_SAY), t);
    sm_write_text(out, style, &b);
}
