/* swing.c - how far the answer moves when an assumption takes the ends of its range.
 *
 * Contents: 1. cases with an override  2. one assumption at a time  3. all of grade judgement together  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/swing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "whatif/overrides.h"

/* 1. Cases with an override */

typedef struct {
    const sm_casefile *file;
    const sm_assumption *assumption;
    int n_assumptions;
    sm_run_context context;
    const sm_case *base;
} ground;

/* The case with overrides; NULL where that is not a valid case (an end of a range may contradict another key). */
static sm_casefile *read_with(const ground *g, const sm_overrides *o, sm_status *status)
{
    sm_diag d = {0};
    sm_casefile *f = NULL;
    sm_status s = sm_overrides_vary(g->file, o, &d, &f);
    sm_diag_destroy(&d);
    if (s != SM_OK && s != SM_REFUSED)
        *status = s;
    return f;
}

/* A default number with a range. A default distribution is drawn: it shows as a share of the variance instead. */
static bool swings(const sm_assumption *a)
{
    return a->origin == SM_FROM_DEFAULT && a->has_range && a->value.kind == SM_DATUM_NUMBER;
}

/* What moves as one: the same default on every side, and the two SDs of a reading, which come from one total. key names
 * it: the path without the side, with the first SD for both. */
#define FIRST_SD  "between_reader_sd_mm"
#define SECOND_SD "repeat_sd_mm"
enum { KEY_SIZE = 160 };

static void key_of(const sm_assumption *a, char key[KEY_SIZE])
{
    static const char coronaries[] = "/coronaries/";
    const char *rest = a->path, *last = strrchr(a->path, '/');
    if (strncmp(rest, coronaries, strlen(coronaries)) == 0)
        rest = strchr(rest + strlen(coronaries), '/');
    if (!rest || !last || last < rest)
        rest = last = a->path;
    const char *name = strcmp(last, "/" SECOND_SD) == 0 ? "/" FIRST_SD : last;
    snprintf(key, KEY_SIZE, "%.*s%s", (int)(last - rest), rest, name);
}

static bool move_as_one(const sm_assumption *a, const sm_assumption *b)
{
    char key_a[KEY_SIZE], key_b[KEY_SIZE];
    key_of(a, key_a);
    key_of(b, key_b);
    return strcmp(key_a, key_b) == 0;
}

/* The first of those that move as one with i: it stands for all of them. */
static int leader_of(const ground *g, int i)
{
    for (int j = 0; j < i; j++)
        if (swings(&g->assumption[j]) && move_as_one(&g->assumption[i], &g->assumption[j]))
            return j;
    return i;
}

/* Puts leader i, and all that move with it, at their high (or low) ends. */
static void add_end(const ground *g, int i, bool high, sm_overrides *o)
{
    for (int j = i; j < g->n_assumptions; j++) {
        const sm_assumption *a = &g->assumption[j];
        if (swings(a) && move_as_one(&g->assumption[i], a))
            sm_overrides_add_number(o, a->path, "", high ? a->high : a->low);
    }
}

/* 2. One assumption at a time */

static void destroy_files(sm_casefile **file, int n)
{
    for (int i = 0; file && i < n; i++)
        sm_casefile_destroy(file[i]);
    free(file);
}

static sm_casefile *read_end(const ground *g, int i, bool high, sm_status *status)
{
    sm_overrides o = {0};
    add_end(g, i, high, &o);
    sm_casefile *f = read_with(g, &o, status);
    sm_overrides_destroy(&o);
    return f;
}

/* file[2 i], file[2 i + 1]: leader i at its low and high end, or both NULL. */
static void read_ends(const ground *g, sm_casefile **file, sm_status *status)
{
    for (int i = 0; i < g->n_assumptions && *status == SM_OK; i++) {
        if (!swings(&g->assumption[i]) || leader_of(g, i) != i)
            continue;
        sm_casefile *low = read_end(g, i, false, status);
        sm_casefile *high = read_end(g, i, true, status);
        if (low && high) {
            file[2 * i] = low;
            file[2 * i + 1] = high;
        } else {
            sm_casefile_destroy(low);
            sm_casefile_destroy(high);
        }
    }
}

/* Runs all files that are there; variant[i] belongs to file[i]. */
static sm_status run_files(const ground *g, sm_casefile *const *file, int n, sm_probability *base, sm_variant *variant)
{
    const sm_case **c = calloc((size_t)n + 1, sizeof *c);
    sm_variant *packed = malloc(((size_t)n + 1) * sizeof *packed);
    sm_status s = c && packed ? SM_OK : SM_NO_MEMORY;
    int m = 0;
    for (int i = 0; s == SM_OK && i < n; i++)
        if (file[i])
            c[m++] = sm_casefile_case(file[i]);
    if (s == SM_OK)
        s = sm_variants_run(g->base, c, m, g->context, base, packed);
    for (int i = 0, j = 0; s == SM_OK && i < n; i++)
        if (file[i])
            variant[i] = packed[j++];
    free(c);
    free(packed);
    return s;
}

static sm_status swing_each(const ground *g, sm_swings *out)
{
    const int n = 2 * g->n_assumptions;
    sm_casefile **file = calloc((size_t)n + 1, sizeof *file);
    sm_variant *variant = calloc((size_t)n + 1, sizeof *variant);
    sm_status s = file && variant ? SM_OK : SM_NO_MEMORY;
    if (s == SM_OK)
        read_ends(g, file, &s);
    if (s == SM_OK)
        s = run_files(g, file, n, &out->base, variant);
    for (int i = 0; s == SM_OK && i < g->n_assumptions; i++)
        if (file[2 * i])
            out->swing[i] = (sm_swing){true, variant[2 * i], variant[2 * i + 1]};
    destroy_files(file, n);
    free(variant);
    return s;
}

/* 3. All of grade judgement together */

static bool is_judgement(const ground *g, const sm_swings *s, int i)
{
    return s->swing[i].applies && g->assumption[i].grade == SM_JUDGEMENT;
}

/* The case with every judgement value at the end that raises (or lowers) the probability; NULL where there is none. */
static sm_casefile *read_together(const ground *g, const sm_swings *s, bool raise, sm_status *status)
{
    sm_overrides o = {0};
    for (int i = 0; i < g->n_assumptions; i++)
        if (is_judgement(g, s, i)) {
            const bool high_raises = s->swing[i].high.difference.value >= s->swing[i].low.difference.value;
            add_end(g, i, high_raises == raise, &o);
        }
    sm_casefile *f = o.n > 0 || o.failed ? read_with(g, &o, status) : NULL;
    sm_overrides_destroy(&o);
    return f;
}

static void find_largest(const ground *g, sm_swings *s)
{
    double largest = 0;
    s->largest = -1;
    for (int i = 0; i < g->n_assumptions; i++) {
        double width = fabs(s->swing[i].high.difference.value - s->swing[i].low.difference.value);
        if (is_judgement(g, s, i) && width > largest) {
            largest = width;
            s->largest = i;
        }
    }
}

static sm_status swing_together(const ground *g, sm_swings *out)
{
    sm_casefile *file[2] = {NULL, NULL};
    sm_variant variant[2];
    sm_probability base;
    sm_status s = SM_OK;
    for (int end = 0; s == SM_OK && end < 2; end++)
        file[end] = read_together(g, out, end == 1, &s);
    if (s == SM_OK && file[0] && file[1]) {
        s = run_files(g, file, 2, &base, variant);
    }
    if (s == SM_OK && file[0] && file[1]) {
        out->any_judgement = true;
        out->lowest = variant[0];
        out->highest = variant[1];
    }
    for (int end = 0; end < 2; end++)
        sm_casefile_destroy(file[end]);
    return s;
}

/* 4. The whole */

sm_status sm_swings_run(const sm_casefile *f, sm_run_context context, sm_swings *out)
{
    ground g = {.file = f, .context = context, .base = sm_casefile_case(f)};
    g.n_assumptions = (int)sm_casefile_assumptions(f, &g.assumption);
    *out = (sm_swings){.n_assumptions = g.n_assumptions, .largest = -1};
    out->swing = calloc((size_t)g.n_assumptions + 1, sizeof *out->swing);
    sm_status s = out->swing ? swing_each(&g, out) : SM_NO_MEMORY;
    if (s == SM_OK) {
        find_largest(&g, out);
        s = swing_together(&g, out);
    }
    if (s != SM_OK)
        sm_swings_destroy(out);
    return s;
}

void sm_swings_destroy(sm_swings *s)
{
    free(s->swing);
    *s = (sm_swings){0};
}
