/* lever.c - what of a case is in doubt, as levers.
 *
 * Contents: 1. what moves as one  2. finding them  3. a value with its point moved  4. putting a lever at a value
 *           5. in words
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/lever.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/keys.h"
#include "whatif/dist_change.h"

/* 1. What moves as one */

/* key names it: the path without the side, with the first SD for both. A choice about one wall is of its side alone. */
#define FIRST_SD  "between_reader_sd_mm"
#define SECOND_SD "repeat_sd_mm"
enum { KEY_SIZE = 160 };

static void key_of(const sm_assumption *a, char key[KEY_SIZE])
{
    static const char coronaries[] = "/coronaries/";
    const char *rest = a->path, *last = strrchr(a->path, '/');
    if (a->doubt.kind == SM_DOUBT_JUDGED && strncmp(rest, coronaries, strlen(coronaries)) == 0)
        rest = strchr(rest + strlen(coronaries), '/');
    if (!rest || !last || last < rest)
        rest = last = a->path;
    const char *name = strcmp(last, "/" SECOND_SD) == 0 ? "/" FIRST_SD : last;
    snprintf(key, KEY_SIZE, "%.*s%s", (int)(last - rest), rest, name);
}

static bool move_as_one(const sm_assumption *a, const sm_assumption *b)
{
    char key_a[KEY_SIZE], key_b[KEY_SIZE];
    if (a->doubt.kind != b->doubt.kind || a->doubt.kind == SM_DOUBT_NONE)
        return false;
    key_of(a, key_a);
    key_of(b, key_b);
    return strcmp(key_a, key_b) == 0;
}

/* 2. Finding them */

/* A sinus from which no coronary leaves has no event: what is assumed of it moves nothing. */
static bool counts(const sm_case *c, const sm_assumption *a)
{
    static const char coronaries[] = "/coronaries/";
    const char *side = a->path + strlen(coronaries);
    if (strncmp(a->path, coronaries, strlen(coronaries)) != 0)
        return true;
    for (size_t k = 0; k < c->n_coronaries; k++) {
        const size_t n = strlen(c->coronary[k].name);
        if (strncmp(side, c->coronary[k].name, n) == 0 && side[n] == '/')
            return c->coronary[k].has_ostium;
    }
    return true;
}

static int first_of(const sm_case *c, const sm_assumption *a, int i)
{
    if (!counts(c, &a[i]))
        return -1;
    for (int j = 0; j < i; j++)
        if (counts(c, &a[j]) && move_as_one(&a[i], &a[j]))
            return j;
    return a[i].doubt.kind != SM_DOUBT_NONE && a[i].doubt.low < a[i].doubt.high ? i : -1;
}

static void add_of_kind(const sm_assumption *a, sm_doubt_kind kind, sm_levers *out)
{
    for (int i = 0; i < out->n_assumptions; i++)
        if (a[i].doubt.kind == kind && out->first[i] == i)
            out->at[out->n++] = (sm_lever){i, kind == SM_DOUBT_JUDGED, a[i].doubt.low, a[i].doubt.high, a[i].own};
}

sm_status sm_levers_find(const sm_casefile *f, sm_levers *out)
{
    const sm_assumption *a;
    const int n = (int)sm_casefile_assumptions(f, &a);
    *out = (sm_levers){.at = calloc((size_t)n + 1, sizeof *out->at),
                       .n_assumptions = n,
                       .first = calloc((size_t)n + 1, sizeof *out->first)};
    if (!out->at || !out->first) {
        sm_levers_destroy(out);
        return SM_NO_MEMORY;
    }
    for (int i = 0; i < n; i++)
        out->first[i] = first_of(sm_casefile_case(f), a, i);
    add_of_kind(a, SM_DOUBT_JUDGED, out);
    out->n_judged = out->n;
    add_of_kind(a, SM_DOUBT_ALONE, out);
    return SM_OK;
}

void sm_levers_destroy(sm_levers *l)
{
    free(l->at);
    free(l->first);
    *l = (sm_levers){0};
}

/* To a millionth: numbers of few digits are written and read in half the time. */
static double rounded(double x)
{
    return nearbyint(x * 1e6) / 1e6;
}

double sm_lever_value(const sm_lever *l, double u)
{
    return rounded(u < 0.5 ? l->low + 2 * u * (l->own - l->low) : l->own + (2 * u - 1) * (l->high - l->own));
}

/* 3. A value with its point moved */

/* The ends of what is possible at the key of that path. */
static void domain_of(const char *path, double ends[2])
{
    const char *name = strrchr(path, '/') + 1;
    const sm_keys *home = sm_keys_home(name);
    const sm_key *key = home ? sm_keys_find(home, name) : NULL;
    ends[0] = key ? key->low : -HUGE_VAL;
    ends[1] = key ? key->high : HUGE_VAL;
}

/* An end that would leave what is possible stays there. */
static void cut(sm_dist *d, const double ends[2])
{
    for (size_t i = 0; i < sm_dist_parameters(d->family); i++) {
        const char *name = sm_dist_parameter_name(d->family, i);
        if (strcmp(name, "min") == 0)
            d->p[i] = fmax(d->p[i], ends[0]);
        else if (strcmp(name, "max") == 0)
            d->p[i] = fmin(d->p[i], ends[1]);
    }
}

static sm_dist dist_at(const sm_assumption *a, double value)
{
    double ends[2];
    sm_dist d = a->doubt.point == SM_POINT_SHIFT ? sm_dist_moved(a->value.dist, value - a->own)
                                                 : sm_dist_scaled(a->value.dist, value / a->own);
    domain_of(a->path, ends);
    cut(&d, ends);
    for (size_t i = 0; i < sm_dist_parameters(d.family); i++)
        d.p[i] = rounded(d.p[i]);
    return d;
}

/* 4. Putting a lever at a value */

/* The family alone, so that a second look beside it stays. */
static void put_dist(const sm_assumption *a, double value, sm_overrides *o)
{
    const sm_dist d = dist_at(a, value);
    sm_text pointer = {0}, json = {0};
    sm_text_addf(&pointer, "%s/%s", a->path, sm_dist_family_name(d.family));
    sm_dist_parameters_json(&(sm_json){.out = &json}, NULL, &d);
    sm_overrides_add(o, &pointer, &json);
}

/* A frame's shape with another diameter at its top. */
static void put_top(const sm_assumption *a, double value, sm_overrides *o)
{
    const size_t n = a->value.list.n;
    sm_text pointer = {0}, json = {0};
    sm_json w = {.out = &json};
    sm_text_puts(&pointer, a->path);
    sm_json_open_list(&w, NULL, SM_JSON_LINE);
    for (size_t i = 0; i < n; i++)
        sm_json_pair(&w, NULL, a->value.list.x[2 * i], i + 1 == n ? value : a->value.list.x[2 * i + 1]);
    sm_json_close(&w);
    sm_overrides_add(o, &pointer, &json);
}

static void put_one(const sm_assumption *a, double value, sm_overrides *o)
{
    if (a->doubt.point == SM_POINT_VALUE && a->value.kind == SM_DATUM_NUMBER)
        sm_overrides_add_number(o, a->path, "", value);
    else if (a->doubt.point == SM_POINT_TOP)
        put_top(a, value, o);
    else
        put_dist(a, value, o);
}

void sm_lever_put(const sm_casefile *f, const sm_levers *l, int i, double value, sm_overrides *o)
{
    const sm_assumption *a;
    sm_casefile_assumptions(f, &a);
    for (int j = l->at[i].assumption; j < l->n_assumptions; j++)
        if (l->first[j] == l->at[i].assumption)
            put_one(&a[j], value, o);
}

/* 5. In words */

bool sm_lever_is_wall(const sm_assumption *a)
{
    const char *last = strrchr(a->path, '/');
    return a->doubt.kind == SM_DOUBT_ALONE && last && strcmp(last, "/bloom_edges") == 0;
}

static const char *without_side(const sm_assumption *a)
{
    static const char coronaries[] = "/coronaries/";
    const char *side = a->path + strlen(coronaries), *words = a->words;
    if (strncmp(a->path, coronaries, strlen(coronaries)) != 0)
        return words;
    const size_t n = strcspn(side, "/");
    return strncmp(words, side, n) == 0 && words[n] == ' ' ? words + n + 1 : words;
}

void sm_lever_words(const sm_assumption *a, sm_text *out)
{
    if (sm_lever_is_wall(a)) {
        sm_text_puts(out, "the wall at the ");
        sm_text_putn(out, a->words, strcspn(a->words, ":"));
        return;
    }
    sm_text_puts(out, without_side(a));
    if (a->doubt.point != SM_POINT_VALUE)
        sm_text_addf(out, " (%s)", sm_doubt_point_words(a->doubt.point));
}
