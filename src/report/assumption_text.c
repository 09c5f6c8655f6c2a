/* assumption_text.c - what an answer rests on, by grade, in plain words; and the warnings.
 *
 * Contents: 1. assumptions  2. warnings and cautions
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/assumption_text.h"

#include <string.h>

#include "report/cautions.h"
#include "report/words.h"

/* 1. Assumptions */

static const struct {
    sm_grade grade;
    const char *title, *meaning;
} grade_order[] = {{SM_UNCONFIRMED, "Unconfirmed", "from memory, not checked against its source"},
                   {SM_JUDGEMENT, "Judgement", "no published number was found"},
                   {SM_DERIVED, "Derived", "arithmetic on, or analogy with, something published"},
                   {SM_PUBLISHED, "Published", "seen in its source"},
                   {SM_STATED, "Stated", "by this case or its profile"}};

static void value_and_unit(sm_text *out, const sm_assumption *a)
{
    sm_words_value(out, a->value);
    if (strcmp(a->unit, "fraction") == 0)
        sm_text_puts(out, " (fraction)");
    else if (a->unit[0])
        sm_text_addf(out, " %s", a->unit);
}

/* "centreline error, SD: 0.4 mm - default; none found: judgement" */
static void assumption_line(sm_text *out, const sm_style *style, const sm_assumption *a)
{
    sm_text raw = {0}, safe = {0};
    sm_text_addf(&raw, "%s: ", a->words);
    value_and_unit(&raw, a);
    sm_text_addf(&raw, " (%s", sm_origin_name(a->origin));
    if (a->source && a->source[0])
        sm_text_addf(&raw, "; %s", a->source);
    sm_text_puts(&raw, ")");
    sm_layout_safe(&safe, style, raw.s ? raw.s : "");
    sm_layout_wrap(out, style, style->plain ? 0 : 2, style->plain ? 0 : 6, safe.s ? safe.s : "");
    out->failed |= raw.failed || safe.failed;
    sm_text_destroy(&raw);
    sm_text_destroy(&safe);
}

static void grade_text(sm_text *out, const sm_style *style, const sm_result *r, size_t g)
{
    sm_text title = {0};
    size_t n = 0;
    for (size_t i = 0; i < r->n_assumptions; i++)
        n += r->assumption[i].grade == grade_order[g].grade;
    if (n == 0)
        return;
    sm_text_addf(&title, "%s: %s (%zu)", grade_order[g].title, grade_order[g].meaning, n);
    sm_layout_paint(out, style, SM_PAINT_STRONG, title.s ? title.s : "");
    sm_text_puts(out, "\n");
    out->failed |= title.failed;
    sm_text_destroy(&title);
    for (size_t i = 0; i < r->n_assumptions; i++)
        if (r->assumption[i].grade == grade_order[g].grade)
            assumption_line(out, style, &r->assumption[i]);
}

void sm_assumption_text(sm_text *out, const sm_style *style, const sm_result *r)
{
    sm_layout_title(out, style, "What this rests on, the weakest first");
    for (size_t g = 0; g < sizeof grade_order / sizeof *grade_order; g++)
        grade_text(out, style, r, g);
}

/* 2. Warnings and cautions */

typedef struct {
    sm_text *out;
    const sm_style *style;
    bool begun;
} warning_list;

static void add_warning(void *self, const char *words)
{
    warning_list *l = self;
    sm_text safe = {0};
    if (!l->begun)
        sm_layout_title(l->out, l->style, "Warnings");
    l->begun = true;
    sm_layout_safe(&safe, l->style, words);
    if (!l->style->plain)
        sm_text_puts(l->out, "  ! ");
    sm_text line = {0};
    sm_layout_wrap(&line, l->style, l->style->plain ? 0 : 4, l->style->plain ? 0 : 4, safe.s ? safe.s : "");
    sm_text_puts(l->out, line.s && !l->style->plain ? line.s + 4 : line.s ? line.s : "");
    l->out->failed |= safe.failed || line.failed;
    sm_text_destroy(&safe);
    sm_text_destroy(&line);
}

void sm_warning_text(sm_text *out, const sm_style *style, const sm_result *r)
{
    warning_list l = {out, style, false};
    sm_result_each_warning(r, add_warning, &l);
}

void sm_caution_text(sm_text *out, const sm_style *style)
{
    sm_layout_title(out, style, "Before you act on this");
    sm_layout_wrap(out, style, 0, 0, sm_cautions());
}
