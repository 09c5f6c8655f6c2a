/* difference.c - what differs between two case files, place by place.
 *
 * Contents: 1. a list of differences  2. words for a place  3. walking both files  4. the profile
 *           5. taking differences over
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/difference.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "format/json_doc.h"
#include "casefile/keys.h"
#include "casefile/value.h"

/* 1. A list of differences */

typedef struct {
    sm_json_doc old, now;
    sm_differences *out;
    bool no_memory;
} walk;

static void difference_free(sm_difference *x)
{
    free(x->pointer);
    free(x->words);
    sm_datum_destroy(&x->old);
    sm_datum_destroy(&x->now);
}

/* Takes what x points at over. */
static void add(walk *w, sm_difference *x)
{
    sm_differences *s = w->out;
    sm_difference *more = sm_grow(s->at, (size_t)s->n, &s->cap, 16, sizeof *more);
    if (more)
        s->at = more;
    if (x->pointer && x->words && more)
        s->at[s->n++] = *x;
    else {
        difference_free(x);
        w->no_memory = true;
    }
}

void sm_differences_destroy(sm_differences *s)
{
    for (int i = 0; i < s->n; i++)
        difference_free(&s->at[i]);
    free(s->at);
    *s = (sm_differences){0};
}

static bool starts(const char *s, const char *with)
{
    return strncmp(s, with, strlen(with)) == 0;
}

bool sm_differences_of_scan_alone(const sm_differences *s)
{
    bool scan = false, readings = false;
    for (int i = 0; i < s->n; i++) {
        const sm_difference *d = &s->at[i];
        scan = scan || starts(d->pointer, "/scan/detector") || starts(d->pointer, "/scan/kernel");
        readings = readings || starts(d->pointer, "/coronaries/");
    }
    return scan && !readings;
}

/* 2. Words for a place */

static const char *last_of(const char *pointer)
{
    return strrchr(pointer, '/') + 1;
}

/* The key at the end of a pointer in the tables of a case; NULL if none has that name. */
static const sm_key *key_of(const char *pointer)
{
    const sm_keys *home = sm_keys_home(last_of(pointer));
    return home ? sm_keys_find(home, last_of(pointer)) : NULL;
}

/* "ostium gap," of "ostium_gap/readings_mm": the quantity in which something lies; nothing if nothing does. */
static void quantity_words(sm_text *out, const char *within)
{
    const char *rest = strchr(within, '/');
    sm_text name = {0};
    if (!rest)
        return;
    sm_text_putn(&name, within, (size_t)(rest - within));
    const sm_quantity_kind *kind = name.s ? sm_keys_quantity(name.s) : NULL;
    sm_text_addf(out, "%s%s,", out->len ? " " : "", kind ? kind->words : sm_text_string(&name));
    sm_text_done(&name, out);
}

/* "left ostium gap," of /coronaries/left/ostium_gap/readings_mm. */
static void place_words(sm_text *out, const char *pointer)
{
    static const char in[] = "/coronaries/", valve[] = "/surgical_valve/";
    if (starts(pointer, valve))
        quantity_words(out, pointer + strlen(valve));
    if (!starts(pointer, in))
        return;
    const char *side = pointer + strlen(in), *what = strchr(side, '/');
    sm_text_putn(out, side, what ? (size_t)(what - side) : strlen(side));
    if (what)
        quantity_words(out, what + 1);
}

/* A look that comes or goes with the value beside it: the value may be the default, written out. */
static bool look_changes(const cJSON *old, const cJSON *now)
{
    const bool before = cJSON_GetObjectItemCaseSensitive(old, "cross_check") != NULL;
    return before != (cJSON_GetObjectItemCaseSensitive(now, "cross_check") != NULL);
}

static char *words_of(const char *pointer, bool look)
{
    static const struct {
        const char *key, *words;
    } other[] = {{"readings_mm", "readings"},  {"cross_check", "second look"},
                 {"case", "name of the case"}, {"note", "note"},
                 {"profile", "site profile"},  {"alternatives", "alternatives"},
                 {"base_plane", "base plane"}, {"action_line", "your action line"}};
    sm_text t = {0};
    place_words(&t, pointer);
    const sm_key *key = key_of(pointer);
    const char *words = key && key->words[0] ? key->words : last_of(pointer);
    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        if (strcmp(other[i].key, last_of(pointer)) == 0)
            words = other[i].words;
    sm_family family;
    if (sm_dist_family_named(last_of(pointer), &family))
        words = "distribution";
    sm_text_addf(&t, "%s%s%s", t.len > 0 ? " " : "", words, look ? ", with its second look" : "");
    return sm_text_take(&t);
}

static sm_difference_kind kind_of(const char *pointer)
{
    static const char *const labels[] = {"/format", "/case", "/note", "/alternatives"};
    for (size_t i = 0; i < sizeof labels / sizeof *labels; i++)
        if (strcmp(pointer, labels[i]) == 0)
            return SM_DIFFERS_LABEL;
    return strcmp(pointer, "/action_line") == 0 ? SM_DIFFERS_LINE : SM_DIFFERS_ANSWER;
}

/* 3. Walking both files */

static void add_at(walk *w, const char *pointer, const cJSON *old, const cJSON *now)
{
    const sm_key *key = key_of(pointer);
    sm_difference x = {.pointer = sm_string_copy(pointer),
                       .words = words_of(pointer, look_changes(old, now)),
                       .unit = key ? key->unit : "",
                       .kind = kind_of(pointer)};
    if (x.kind == SM_DIFFERS_LINE)
        x.unit = "probability";
    w->no_memory |= !sm_datum_take(old, &x.old);
    w->no_memory |= !sm_datum_take(now, &x.now);
    add(w, &x);
}

/* The same family in both, with a second look beside it in either: the look is told by itself. */
static bool is_looked_dist(const cJSON *old, const cJSON *now)
{
    bool family = false;
    for (const cJSON *c = old->child; c; c = c->next)
        family |= strcmp(c->string, "cross_check") != 0 && sm_reader_member(now, c->string);
    return family && (sm_reader_member(old, "cross_check") || sm_reader_member(now, "cross_check"));
}

/* If both have an object whose keys mean something by themselves. A distribution, readings and a second look are one
 * thing each; so are the two forms of a base plane, which exclude each other. */
static bool goes_on(const char *pointer, const cJSON *old, const cJSON *now)
{
    const char *last = pointer[0] ? last_of(pointer) : "";
    sm_family family;
    if (!cJSON_IsObject(old) || !cJSON_IsObject(now) || sm_dist_family_named(last, &family))
        return false;
    if (sm_value_is_dist(old) || sm_value_is_dist(now))
        return is_looked_dist(old, now);
    if (strcmp(last, "readings_mm") == 0 || strcmp(last, "cross_check") == 0)
        return false;
    return !sm_reader_member(old, "tilt_sd_deg") == !sm_reader_member(now, "tilt_sd_deg");
}

static void walk_both(walk *w, const char *pointer, const cJSON *old, const cJSON *now);

static void walk_key(walk *w, const char *pointer, const cJSON *child, const cJSON *old, const cJSON *now)
{
    sm_text t = {0};
    sm_text_addf(&t, "%s/", pointer);
    for (const char *s = child->string; *s; s++) /* RFC 6901 */
        if (*s == '~' || *s == '/')
            sm_text_puts(&t, *s == '~' ? "~0" : "~1");
        else
            sm_text_putn(&t, s, 1);
    if (t.failed)
        w->no_memory = true;
    else if (strcmp(t.s, "/profile") != 0) /* its path says nothing; its content is compared */
        walk_both(w, t.s, old, now);
    sm_text_destroy(&t);
}

/* A section that one file leaves out altogether leaves out each of its keys. */
static bool is_section(const char *pointer)
{
    return strcmp(pointer, "/scan") == 0 || strcmp(pointer, "/scan/base_plane") == 0 || strcmp(pointer, "/limits") == 0;
}

/* Recursion is bounded by SM_JSON_DEPTH_LIMIT. */
static void walk_both(walk *w, const char *pointer, const cJSON *old, const cJSON *now)
{
    const cJSON empty = {.type = cJSON_Object};
    if (old && now && cJSON_Compare(old, now, true))
        return;
    const cJSON *a = !old && is_section(pointer) ? &empty : old, *b = !now && is_section(pointer) ? &empty : now;
    if (!goes_on(pointer, a, b)) {
        add_at(w, pointer, old, now);
        return;
    }
    for (const cJSON *c = a->child; c; c = c->next)
        walk_key(w, pointer, c, c, sm_reader_member(b, c->string));
    for (const cJSON *c = b->child; c; c = c->next)
        if (!sm_reader_member(a, c->string))
            walk_key(w, pointer, c, NULL, c);
}

/* 4. The profile */

static const cJSON *site_of(const cJSON *profile)
{
    const cJSON *site = sm_reader_member(profile, "site");
    return site ? site : profile;
}

static void walk_profile(walk *w, const sm_casefile *old, const sm_casefile *now)
{
    sm_json_doc a = {0}, b = {0};
    sm_diag unused = {0};
    const sm_file_text x = sm_casefile_profile_text(old), y = sm_casefile_profile_text(now);
    if (x.text)
        w->no_memory |= sm_json_doc_read(&a, x, &unused) != SM_OK;
    if (y.text)
        w->no_memory |= sm_json_doc_read(&b, y, &unused) != SM_OK;
    if (!w->no_memory && (a.root || b.root) && !(a.root && b.root && cJSON_Compare(a.root, b.root, true))) {
        sm_difference p = {.pointer = sm_string_copy("/profile"),
                           .words = sm_string_copy("site profile"),
                           .unit = "",
                           .kind = SM_DIFFERS_ANSWER};
        w->no_memory |= !sm_datum_take(site_of(a.root), &p.old);
        w->no_memory |= !sm_datum_take(site_of(b.root), &p.now);
        add(w, &p);
    }
    sm_json_doc_destroy(&a);
    sm_json_doc_destroy(&b);
    sm_diag_destroy(&unused);
}

/* 5. Taking differences over */

static void names_write(sm_text *out, const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        sm_text_addf(out, "%s%s", k ? ", " : "", c->coronary[k].name);
}

static bool has_coronary(const sm_case *c, const char *name)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        if (strcmp(c->coronary[k].name, name) == 0)
            return true;
    return false;
}

static sm_status check_coronaries(const sm_case *old, const sm_case *now, sm_diag *d)
{
    bool same = old->n_coronaries == now->n_coronaries;
    for (size_t k = 0; same && k < old->n_coronaries; k++)
        same = has_coronary(now, old->coronary[k].name);
    if (same)
        return SM_OK;
    sm_text a = {0}, b = {0};
    names_write(&a, old);
    names_write(&b, now);
    sm_diag_add(d, SM_FAULT, (sm_place){.file = "compare"},
                "the first case has the coronaries %s, the second %s: expected the same in both", sm_text_string(&a),
                sm_text_string(&b));
    d->failed |= a.failed || b.failed;
    sm_text_destroy(&a);
    sm_text_destroy(&b);
    return SM_REFUSED;
}

sm_status sm_differences_find(const sm_casefile *old, const sm_casefile *now, sm_diag *d, sm_differences *out)
{
    walk w = {.out = out};
    sm_diag unused = {0};
    *out = (sm_differences){0};
    sm_status s = check_coronaries(sm_casefile_case(old), sm_casefile_case(now), d);
    if (s != SM_OK)
        return s;
    w.no_memory = sm_json_doc_read(&w.old, sm_casefile_case_text(old), &unused) != SM_OK;
    w.no_memory |= sm_json_doc_read(&w.now, sm_casefile_case_text(now), &unused) != SM_OK;
    if (!w.no_memory) {
        walk_both(&w, "", w.old.root, w.now.root);
        walk_profile(&w, old, now);
    }
    sm_json_doc_destroy(&w.old);
    sm_json_doc_destroy(&w.now);
    sm_diag_destroy(&unused);
    return w.no_memory ? SM_NO_MEMORY : SM_OK;
}

static bool is_profile(const sm_difference *x)
{
    return strcmp(x->pointer, "/profile") == 0;
}

static void take_over(sm_json_doc *doc, const sm_json_doc *now, const sm_difference *x, bool *no_memory)
{
    const cJSON *from = sm_json_doc_at(now, x->pointer);
    if (is_profile(x))
        return;
    if (!from) {
        *no_memory |= !sm_json_doc_remove(doc, x->pointer);
        return;
    }
    cJSON *copy = cJSON_Duplicate(from, true);
    *no_memory |= !copy || sm_json_doc_put(doc, x->pointer, copy, no_memory) != NULL;
}

sm_status sm_difference_apply(const sm_casefile *old, const sm_casefile *now, const sm_differences *s, int i,
                              sm_diag *d, sm_casefile **out)
{
    sm_json_doc doc = {0}, from = {0};
    sm_text text = {0};
    sm_file_text profile = sm_casefile_profile_text(old);
    *out = NULL;
    bool no_memory = sm_json_doc_read(&doc, sm_casefile_case_text(old), d) != SM_OK;
    no_memory |= sm_json_doc_read(&from, sm_casefile_case_text(now), d) != SM_OK;
    for (int j = 0; !no_memory && j < s->n; j++) {
        if (i >= 0 && j != i)
            continue;
        take_over(&doc, &from, &s->at[j], &no_memory);
        if (is_profile(&s->at[j]))
            profile = sm_casefile_profile_text(now);
    }
    if (!no_memory)
        sm_json_doc_write(doc.root, &text);
    no_memory |= text.failed;
    sm_json_doc_destroy(&doc);
    sm_json_doc_destroy(&from);
    const sm_file_text changed = {"case", text.s, text.len};
    sm_status status = no_memory ? SM_NO_MEMORY : sm_casefile_read(changed, profile, NULL, 0, d, out);
    sm_text_destroy(&text);
    return status;
}
