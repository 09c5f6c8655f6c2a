/* assumption_text.c - what an answer rests on, by grade, in plain words; and the warnings.
 *
 * Contents: 1. assumptions  2. warnings and cautions
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/assumption_text.h"

#include <string.h>

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"

/* 1. Assumptions */

/* Where several assumptions say the same of several quantities ("left ostium height: SD between readers"), they are
 * told once: "SD between readers, of left ostium height and right ostium height". */

/* A heading of the list: the assumptions of one grade, and of one origin where the grade is "stated". */
typedef struct {
    sm_grade grade;
    int origin; /* -1: any */
    const char *title;
} assumption_group;

static const assumption_group groups[] = {
    {SM_UNCONFIRMED, -1, "Unconfirmed: from memory, not checked against a source"},
    {SM_JUDGEMENT, -1, "Judgement: no published number was found"},
    {SM_DERIVED, -1, "Derived: arithmetic on, or analogy with, something published"},
    {SM_PUBLISHED, -1, "Published: seen in its source"},
    {SM_STATED, SM_FROM_PROFILE, "Stated in the site profile"},
    {SM_STATED, SM_FROM_CASE, "Stated in the case"}};

static bool belongs(const assumption_group *g, const sm_assumption *a)
{
    return a->grade == g->grade && (g->origin < 0 || (int)a->origin == g->origin);
}

const char *sm_assumption_what(const sm_assumption *a, size_t *about)
{
    const char *colon = strncmp(a->path, "/coronaries/", 12) == 0 ? strstr(a->words, ": ") : NULL;
    *about = colon ? (size_t)(colon - a->words) : 0;
    return colon ? colon + 2 : a->words;
}

bool sm_assumption_same(const sm_assumption *a, const sm_assumption *b)
{
    size_t about_a, about_b;
    const char *what_a = sm_assumption_what(a, &about_a), *what_b = sm_assumption_what(b, &about_b);
    return about_a > 0 && about_b > 0 && a->grade == b->grade && a->origin == b->origin &&
           strcmp(what_a, what_b) == 0 && strcmp(a->value, b->value) == 0 && strcmp(a->unit, b->unit) == 0 &&
           strcmp(a->source, b->source) == 0;
}

static bool told_before(const sm_result *r, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (sm_assumption_same(&r->assumption[j], &r->assumption[i]))
            return true;
    return false;
}

/* ", of left ostium height, right ostium height" */
static void quantities(sm_text *out, const sm_result *r, size_t first)
{
    const char *before = ", of ";
    for (size_t j = first; j < r->n_assumptions; j++) {
        size_t about;
        sm_assumption_what(&r->assumption[j], &about);
        if (about == 0 || (j != first && !sm_assumption_same(&r->assumption[first], &r->assumption[j])))
            continue;
        sm_text_puts(out, before);
        sm_text_putn(out, r->assumption[j].words, about);
        before = ", ";
    }
}

/* "centreline error, SD: 0.4 mm (default; none found: judgement)". What the heading says is not said again. */
static void assumption_line(sm_text *out, const sm_style *style, const sm_result *r, size_t i)
{
    const sm_assumption *a = &r->assumption[i];
    const bool in_heading = a->grade == SM_STATED && a->origin == SM_FROM_CASE;
    size_t about;
    sm_text raw = {0};
    sm_text_puts(&raw, sm_assumption_what(a, &about));
    quantities(&raw, r, i);
    sm_text_puts(&raw, ": ");
    sm_words_value(&raw, a->value, a->unit);
    if (a->grade != SM_STATED)
        sm_text_addf(&raw, " (%s; %s)", sm_origin_name(a->origin), a->source);
    else if (!in_heading && a->source[0])
        sm_text_addf(&raw, " (%s)", a->source);
    sm_layout_make_safe(&raw, style);
    sm_layout_words(out, style, style->plain ? 0 : 2, style->plain ? 0 : 6, &raw);
}

static void group_text(sm_text *out, const sm_style *style, const sm_result *r, const assumption_group *g)
{
    bool begun = false;
    for (size_t i = 0; i < r->n_assumptions; i++) {
        if (!belongs(g, &r->assumption[i]) || told_before(r, i))
            continue;
        if (!begun) {
            sm_layout_paint(out, style, SM_PAINT_STRONG, g->title);
            sm_text_puts(out, style->plain ? ".\n" : "\n");
        }
        begun = true;
        assumption_line(out, style, r, i);
    }
}

void sm_assumption_text(sm_text *out, const sm_style *style, const sm_result *r)
{
    sm_layout_title(out, style, "What this rests on, the weakest first");
    for (size_t g = 0; g < sizeof groups / sizeof *groups; g++)
        group_text(out, style, r, &groups[g]);
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
    sm_layout_wrap(&line, l->style, l->style->plain ? 0 : 4, l->style->plain ? 0 : 4, sm_text_string(&safe));
    sm_text_puts(l->out, line.s && !l->style->plain ? line.s + 4 : sm_text_string(&line));
    sm_text_done(&safe, l->out);
    sm_text_done(&line, l->out);
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
