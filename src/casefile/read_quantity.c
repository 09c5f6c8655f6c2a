/* read_quantity.c - a quantity that is read by readers, or known as a number or a distribution.
 *
 * Contents: 1. readings  2. the SDs and where they come from  3. the other keys of a reading  4. a second look
 *           5. contradictions  6. any quantity
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_quantity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "casefile/value.h"
#include "measurement/reading.h"

#define MOST_READERS      50
#define MOST_READINGS     50
#define READER_NAME_LIMIT 400

/* 1. Readings */

static sm_key key_of_kind(const sm_quantity_kind *kind)
{
    return (sm_key){.name = kind->key, .flags = kind->flags, .low = kind->low, .high = kind->high, .unit = "mm"};
}

static bool row_create(sm_reader *r, const char *reader, size_t n, sm_readings *out)
{
    sm_reader_row row = {.reader = sm_string_copy(reader), .n = n, .mm = calloc(n ? n : 1, sizeof(double))};
    if (!row.reader || !row.mm) {
        free(row.reader);
        free(row.mm);
        r->no_memory = true;
        return false;
    }
    out->row[out->n++] = row;
    return true;
}

static void read_row(sm_reader *r, const cJSON *list, const sm_key *key, sm_readings *out)
{
    char found[SM_FOUND_SIZE];
    int n = cJSON_IsArray(list) ? cJSON_GetArraySize(list) : 0;
    if (n < 1 || n > MOST_READINGS) {
        sm_reader_fault(r, list, "found %s%s, expected a list of 1 to %d readings", sm_reader_found(r, list, found),
                        !cJSON_IsArray(list) ? ""
                        : n                  ? " of more"
                                             : " without readings",
                        MOST_READINGS);
        return;
    }
    sm_value_warn_identifier(r, list, list->string);
    if (!row_create(r, list->string, (size_t)n, out))
        return;
    double *x = out->row[out->n - 1].mm;
    for (const cJSON *item = list->child; item; item = item->next)
        sm_value_number(r, item, key, x++);
}

static void read_readings(sm_reader *r, const cJSON *parent, const sm_quantity_kind *kind, sm_readings *out)
{
    char found[SM_FOUND_SIZE];
    const cJSON *node = sm_reader_member(parent, "readings_mm");
    sm_key key = key_of_kind(kind);
    int n = cJSON_IsObject(node) ? cJSON_GetArraySize(node) : 0;
    if (!node) {
        sm_reader_fault(r, parent,
                        "the key \"readings_mm\" is missing, expected as in "
                        "{\"readings_mm\": {\"A\": [8.0, 8.3], \"B\": [8.5]}}");
        return;
    }
    if (n < 1 || n > MOST_READERS) {
        sm_reader_fault(r, node, "found %s%s, expected an object of 1 to %d readers with their readings",
                        sm_reader_found(r, node, found),
                        !cJSON_IsObject(node) ? ""
                        : n                   ? " of more"
                                              : " without readers",
                        MOST_READERS);
        return;
    }
    sm_reader_check_duplicates(r, node);
    out->row = calloc((size_t)n, sizeof *out->row);
    r->no_memory |= !out->row;
    for (const cJSON *list = node->child; out->row && list; list = list->next) {
        const char *name = list->string;
        size_t length = sm_utf8_count(name);
        if (length < 1 || length > READER_NAME_LIMIT)
            sm_reader_fault_key(r, list, "found a reader's name of %zu characters, expected 1 to %d", length,
                                READER_NAME_LIMIT);
        else
            read_row(r, list, &key, out);
    }
}

static size_t readings_count(const sm_readings *readings)
{
    size_t n = 0;
    for (size_t i = 0; i < readings->n; i++)
        n += readings->row[i].n;
    return n;
}

static bool readings_are_equal(const sm_readings *readings)
{
    for (size_t i = 0; i < readings->n; i++)
        for (size_t j = 0; j < readings->row[i].n; j++)
            if (readings->row[i].mm[j] != readings->row[0].mm[0])
                return false;
    return true;
}

/* A bare number inside coronaries: one reading by one reader. */
static bool read_bare(sm_reader *r, const cJSON *node, const sm_quantity_kind *kind, sm_quantity *out)
{
    sm_key key = key_of_kind(kind);
    double x;
    if (!sm_value_number(r, node, &key, &x))
        return false;
    out->readings.row = calloc(1, sizeof *out->readings.row);
    r->no_memory |= !out->readings.row;
    if (!out->readings.row || !row_create(r, "1", 1, &out->readings))
        return false;
    out->readings.row[0].mm[0] = x;
    return true;
}

/* 2. The SDs and where they come from */

/* One of the keys that belong together, and where each was found. */
typedef struct {
    sm_origin origin;   /* the first place that states either SD */
    const cJSON *place; /* the object of that place, NULL for the default */
    const char *source;
    const sm_default *total; /* the built-in SD in all */
} sd_group;

/* Stated beside its companions: by the file, or within a whole quantity that an override put in. */
static const cJSON *stated(const sm_reader *r, const cJSON *node, const char *name)
{
    const cJSON *value = sm_reader_member(node, name);
    return value && !sm_reader_is_added(r, value) ? value : NULL;
}

static bool has_sd(const cJSON *node)
{
    return sm_reader_member(node, "between_reader_sd_mm") || sm_reader_member(node, "repeat_sd_mm");
}

/* The entry of `readers` in the profile for this quantity, NULL if there is none. */
static const cJSON *profile_entry(const sm_reader *r, const sm_quantity_kind *kind)
{
    const cJSON *readers = sm_reader_member(r->profile_doc.root, "readers");
    const cJSON *by_name = sm_reader_member(readers, kind->name);
    const cJSON *entry = by_name ? by_name : sm_reader_member(readers, kind->key);
    return cJSON_IsObject(entry) ? entry : NULL;
}

/* Both SDs and dof come together from the first place that states either SD (model.md 3). A single key that an
 * override added is no such place: it leaves its companions where they come from. */
static sd_group find_group(const sm_reader *r, const sm_quantity_kind *kind, const cJSON *node)
{
    sd_group g = {.origin = SM_FROM_DEFAULT, .total = sm_defaults_find(kind->name, "reader_sd_mm", 0)};
    const cJSON *places[] = {node, profile_entry(r, kind)};
    for (size_t i = 0; i < 2; i++)
        if (stated(r, places[i], "between_reader_sd_mm") || stated(r, places[i], "repeat_sd_mm")) {
            g.origin = i == 0 ? SM_FROM_CASE : SM_FROM_PROFILE;
            g.place = places[i];
            g.source = i == 0 ? NULL : sm_read_section_source(r, places[i]);
            break;
        }
    return g;
}

/* Reads one of between_reader_sd_mm, repeat_sd_mm, dof; fills in the entry from which an assumption is made. */
static sm_entry read_sd(sm_reader *r, const sd_group *g, const cJSON *node, const char *name, sm_quantity *out)
{
    const sm_key *key = sm_keys_find(&sm_keys_reading, name);
    const cJSON *own = sm_reader_member(node, name);
    sm_entry e = {.layer = SM_LAYER_CASE, .node = own};
    if (!own || !(g->place == node || sm_reader_is_added(r, own))) {
        e.layer = g->origin == SM_FROM_CASE      ? SM_LAYER_CASE
                  : g->origin == SM_FROM_PROFILE ? SM_LAYER_PROFILE
                                                 : SM_LAYER_DEFAULT;
        e.node = sm_reader_member(g->place, name);
        e.source = g->source;
    }
    if (e.layer == SM_LAYER_CASE)
        e.node = sm_reader_value(r, e.node, &e.measured);
    bool muted = r->muted;
    r->muted |= e.layer == SM_LAYER_PROFILE;
    if (e.node)
        sm_value_read(r, e.node, key, out);
    r->muted = muted;
    return e;
}

/* If only the total is known, it is split evenly in variance between readers and repeats (facts.md). */
static double half_of_variance(const sd_group *g)
{
    return g->total ? g->total->value.number / sqrt(2.0) : 0.0;
}

static void list_sd(sm_reader *r, const sm_quantity_ask *ask, const sd_group *g, const sm_entry *e, const char *name,
                    double value)
{
    const sm_key *key = sm_keys_find(&sm_keys_reading, name);
    bool is_sd = key->flags & SM_KEY_SPREAD;
    sm_assumption_ask a = {.path = ask->path,
                           .key = name,
                           .number = value,
                           .unit = key->unit,
                           .about = ask->kind->words,
                           .words = key->words,
                           .origin = sm_read_section_origin(e->layer),
                           .source = e->source,
                           .line = is_sd ? g->total : NULL,
                           .measured = e->measured || e->layer == SM_LAYER_PROFILE, /* they come from a reader study */
                           .scale = 1.0 / sqrt(2.0),
                           .side = ask->side,
                           .draws = ask->kind->source,
                           .is_constant = true};
    if (ask->list)
        sm_assumptions_add(&r->assumptions, &a);
}

static void warn_missing_sd(sm_reader *r, const sd_group *g, bool type_a)
{
    static const char *const names[] = {"between_reader_sd_mm", "repeat_sd_mm"};
    for (size_t i = 0; i < 2 && g->origin == SM_FROM_CASE; i++)
        if (!sm_reader_member(g->place, names[i]) && !(type_a && i == 1))
            sm_reader_warn(r, g->place, "%s is not stated beside %s: it is taken as 0", names[i], names[1 - i]);
}

static void read_sds(sm_reader *r, const sm_quantity_ask *ask, const sd_group *g, const cJSON *node, sm_quantity *out)
{
    if (g->origin == SM_FROM_DEFAULT)
        out->between_reader_sd_mm = out->repeat_sd_mm = half_of_variance(g);
    sm_entry between = read_sd(r, g, node, "between_reader_sd_mm", out);
    sm_entry repeat = read_sd(r, g, node, "repeat_sd_mm", out);
    sm_entry dof = read_sd(r, g, node, "dof", out);
    warn_missing_sd(r, g, out->sd_from_readings);
    list_sd(r, ask, g, &between, "between_reader_sd_mm", out->between_reader_sd_mm);
    if (!out->sd_from_readings)
        list_sd(r, ask, g, &repeat, "repeat_sd_mm", out->repeat_sd_mm);
    if (dof.node)
        list_sd(r, ask, g, &dof, "dof", out->dof);
}

/* 3. The other keys of a reading */

/* sd_from_readings, sd_includes_plane, bloom_edges, resolution_mm: each by itself from case, profile or default. */
static sm_entry read_other(sm_reader *r, const sm_quantity_ask *ask, const cJSON *node, const char *name,
                           sm_quantity *out)
{
    const sm_key *key = sm_keys_find(&sm_keys_reading, name);
    const cJSON *profile = profile_entry(r, ask->kind);
    const sm_default *line = sm_defaults_find(ask->kind->name, name, 0);
    line = line ? line : sm_defaults_find("reading", name, 0);
    sm_entry e = {.line = line};
    if (sm_reader_member(node, name))
        e = (sm_entry){.layer = SM_LAYER_CASE, .node = sm_reader_member(node, name), .line = line};
    else if (sm_reader_member(profile, name) && strcmp(name, "sd_from_readings") != 0)
        e = (sm_entry){.layer = SM_LAYER_PROFILE,
                       .node = sm_reader_member(profile, name),
                       .source = sm_read_section_source(r, profile),
                       .line = line};
    else if (line)
        e = (sm_entry){.layer = SM_LAYER_DEFAULT, .node = sm_reader_default(r, line), .line = line};
    if (e.layer == SM_LAYER_CASE)
        e.node = sm_reader_value(r, e.node, &e.measured);
    bool muted = r->muted;
    r->muted |= e.layer == SM_LAYER_PROFILE;
    if (e.node && !sm_value_read(r, e.node, key, out))
        e.node = NULL;
    r->muted = muted;
    return e;
}

static void list_other(sm_reader *r, const sm_quantity_ask *ask, const sm_entry *e, const char *name,
                       sm_source_id draws)
{
    const sm_key *key = sm_keys_find(&sm_keys_reading, name);
    sm_assumption_ask a = {.path = ask->path,
                           .key = name,
                           .node = e->node,
                           .unit = key->unit,
                           .about = ask->kind->words,
                           .words = key->words,
                           .origin = sm_read_section_origin(e->layer),
                           .source = e->source,
                           .line = e->line,
                           .measured = e->measured,
                           .side = ask->side,
                           .draws = draws,
                           .is_constant = true};
    if (ask->list && e->node)
        sm_assumptions_add(&r->assumptions, &a);
}

static void read_others(sm_reader *r, const sm_quantity_ask *ask, const sd_group *g, const cJSON *node,
                        sm_quantity *out)
{
    sm_entry type_a = read_other(r, ask, node, "sd_from_readings", out);
    sm_entry plane = read_other(r, ask, node, "sd_includes_plane", out);
    sm_entry bloom = read_other(r, ask, node, "bloom_edges", out);
    sm_entry resolution = read_other(r, ask, node, "resolution_mm", out);
    /* A profile's word on what its SDs contain says nothing about SDs from elsewhere. */
    if (plane.layer == SM_LAYER_PROFILE && (g->origin != SM_FROM_PROFILE || out->sd_from_readings))
        out->sd_includes_plane = false;
    if (out->sd_from_readings)
        list_other(r, ask, &type_a, "sd_from_readings", ask->kind->source);
    if (out->sd_includes_plane)
        list_other(r, ask, &plane, "sd_includes_plane", ask->kind->source);
    list_other(r, ask, &bloom, "bloom_edges", SM_SOURCE_BLOOMING);
    if (out->resolution_mm > 0.0)
        list_other(r, ask, &resolution, "resolution_mm", ask->kind->source);
}

/* 4. A second look */

/* The profile's cross-check for this quantity, if it is of the same modality. */
static const cJSON *profile_cross_check(const sm_reader *r, const sm_quantity_kind *kind, const cJSON *stated)
{
    const cJSON *entry = sm_reader_member(profile_entry(r, kind), "cross_check");
    const cJSON *a = sm_reader_member(entry, "modality"), *b = sm_reader_member(stated, "modality");
    bool same = cJSON_IsString(a) && cJSON_IsString(b) && strcmp(a->valuestring, b->valuestring) == 0;
    return same ? entry : NULL;
}

static const char *cross_check_source(const sm_reader *r, const sm_quantity_kind *kind, const cJSON *profile)
{
    bool own = sm_reader_member(profile, "source") != NULL;
    return sm_read_section_source(r, own ? profile : profile_entry(r, kind));
}

/* The words of the assumptions that a section adds get the quantity's name before them; view and reader errors belong
 * to this look, the calibration to all looks of the case. */
static void name_cross_check(sm_reader *r, const sm_quantity_ask *ask, size_t first)
{
    char draws[SM_SOURCE_NAME_SIZE];
    sm_source_name(ask->kind->look, ask->side, draws);
    for (size_t i = first; i < r->assumptions.n; i++) {
        sm_assumption *a = &r->assumptions.item[i];
        sm_text words = {0};
        sm_text_addf(&words, "%s%s%s: %s", ask->side, ask->side[0] ? " " : "", ask->kind->words,
                     a->words ? a->words : "");
        free(a->words);
        a->words = sm_text_take(&words);
        if (a->draws && !a->draws[0]) {
            free(a->draws);
            a->draws = sm_string_copy(draws);
        }
        r->no_memory |= !a->words || !a->draws;
    }
}

static void refuse_place(sm_reader *r, const char *where, const cJSON *look)
{
    const sm_quantity_kind *kind;
    size_t n = sm_keys_quantities(&kind), left = 0;
    sm_text list = {0};
    for (size_t i = 0; i < n; i++)
        left += kind[i].looks != NULL;
    for (size_t i = 0; i < n; i++)
        if (kind[i].looks)
            sm_text_addf(&list, "%s%s", kind[i].key, --left > 1 ? ", " : left ? " and " : "");
    sm_reader_fault_key(r, look, "found a cross_check on %s, expected only on %s", where, sm_text_string(&list));
    r->no_memory |= list.failed;
    sm_text_destroy(&list);
}

/* Whether a look may stand on this quantity as it is given. */
static bool may_be_looked_at(sm_reader *r, const sm_quantity_ask *ask, const cJSON *look, const sm_quantity *q)
{
    const bool exact = !q->is_read && sm_dist_is_constant(&q->value);
    if (!ask->kind->looks)
        refuse_place(r, ask->kind->key, look);
    else if (ask->patched)
        sm_reader_fault_key(r, look,
                            "found a cross_check in an alternative, expected it in the case itself: a second look is "
                            "at the valve as it is, and holds for all alternatives");
    else if (exact)
        sm_reader_fault_key(r, look,
                            "found a cross_check on %s, which is exact here, expected a reading or a distribution "
                            "with a spread: a second look cannot move what is known exactly",
                            ask->kind->key);
    return ask->kind->looks && !ask->patched && !exact;
}

/* What belongs to a picture has no place where nothing is projected. */
static void refuse_picture_keys(sm_reader *r, const sm_quantity_kind *kind, const cJSON *look)
{
    static const char *const names[] = {"magnification_sd", "view_error_sd_deg"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const cJSON *node = sm_reader_member(look, names[i]);
        if (node)
            sm_reader_fault_key(r, node,
                                "found %s on %s, expected it only on a gap: this look is a direct measurement and no "
                                "projection, all its error is in reader_sd_mm",
                                names[i], kind->key);
    }
}

static void read_cross_check(sm_reader *r, const sm_quantity_ask *ask, const cJSON *parent, sm_quantity *q)
{
    const cJSON *any = sm_reader_member(parent, "cross_check");
    if (!any || !may_be_looked_at(r, ask, any, q))
        return;
    const cJSON *node = sm_read_section_object(r, parent, "cross_check");
    if (!node)
        return;
    sm_cross_check *out = &q->cross_check;
    out->present = true;
    const cJSON *profile = sm_keys_is_gap(ask->kind) ? profile_cross_check(r, ask->kind, node) : NULL;
    size_t first = r->assumptions.n;
    sm_text path = {0};
    sm_text_addf(&path, "%s/cross_check", ask->path);
    sm_section s = {.keys = ask->kind->looks,
                    .stated = node,
                    .profile = profile,
                    .list = ask->list,
                    .profile_source = profile ? cross_check_source(r, ask->kind, profile) : NULL,
                    .path = sm_text_string(&path)};
    sm_reader_check_keys(r, node, &sm_keys_cross_check);
    if (!sm_keys_is_gap(ask->kind))
        refuse_picture_keys(r, ask->kind, node);
    sm_read_section(r, &s, out, NULL);
    name_cross_check(r, ask, first);
    read_readings(r, node, ask->kind, &out->readings);
    r->no_memory |= path.failed;
    sm_text_destroy(&path);
}

/* 5. Contradictions */

static void check_sds(sm_reader *r, const sd_group *g, const cJSON *node, const sm_quantity *q)
{
    const cJSON *dof = sm_reader_member(node, "dof"), *plane = sm_reader_member(node, "sd_includes_plane");
    const cJSON *type_a = sm_reader_member(node, "sd_from_readings");
    if (dof && !has_sd(node))
        sm_reader_fault_key(r, dof,
                            "found dof without an SD beside it, expected between_reader_sd_mm or repeat_sd_mm in "
                            "the same place");
    if (q->sd_from_readings && q->sd_includes_plane)
        sm_reader_fault_key(r, plane ? plane : type_a,
                            "found sd_includes_plane together with sd_from_readings, expected "
                            "one of them: the readings of a case share one plane");
    else if (plane && q->sd_includes_plane && g->origin == SM_FROM_DEFAULT && !has_sd(node))
        sm_reader_fault_key(r, plane,
                            "found sd_includes_plane without an SD beside it, expected between_reader_sd_mm or "
                            "repeat_sd_mm: the built-in SDs do not contain the plane's error");
    if (!q->sd_from_readings || !type_a)
        return;
    if (readings_count(&q->readings) < 4)
        sm_reader_fault(r, type_a, "found sd_from_readings with %zu readings, expected at least 4",
                        readings_count(&q->readings));
    else if (readings_are_equal(&q->readings))
        sm_reader_warn(r, type_a, "all readings are the same: the SD taken from them is 0%s",
                       q->readings.n == 1 ? "; that between readers stays" : "");
    if (g->origin == SM_FROM_CASE && q->readings.n > 1)
        sm_reader_warn(r, node, "the SDs stated here are not used: sd_from_readings takes the SD from the readings");
    if (g->origin == SM_FROM_CASE && q->readings.n == 1 && sm_reader_member(node, "repeat_sd_mm"))
        sm_reader_warn(r, node,
                       "repeat_sd_mm is not used: sd_from_readings takes what a repeat differs by from the readings");
}

/* How far apart a reader's readings lie. */
static double row_range(const sm_reader_row *row)
{
    double least = HUGE_VAL, most = -HUGE_VAL;
    for (size_t i = 0; i < row->n; i++) {
        least = fmin(least, row->mm[i]);
        most = fmax(most, row->mm[i]);
    }
    return row->n > 0 ? most - least : 0;
}

/* [5,7] is two readings, and may have been meant as 5.7: warned of if repeats would hardly lie so far apart (3 SDs
 * of a difference). */
static void warn_apart(sm_reader *r, const cJSON *node, const sm_quantity *q)
{
    const double most = 3 * sqrt(2) * q->repeat_sd_mm;
    for (size_t i = 0; i < q->readings.n && !q->sd_from_readings && most > 0; i++)
        if (row_range(&q->readings.row[i]) > fmax(1, most))
            sm_reader_warn(r, node,
                           "readings of reader %s lie %.3g mm apart, more than an SD of %.2g mm explains: were they "
                           "typed with decimal commas (5,7 is two readings, 5.7 is one)?",
                           q->readings.row[i].reader ? q->readings.row[i].reader : "A", row_range(&q->readings.row[i]),
                           q->repeat_sd_mm);
}

/* Readers so far apart that their SDs hardly allow it: the error is widened, and the reason may be a slip. */
static void warn_readers_apart(sm_reader *r, const cJSON *node, const sm_quantity *q)
{
    const double times = sqrt(sm_reading_excess(q));
    const sm_reader_row *least = q->readings.row, *most = q->readings.row;
    for (size_t i = 0; i < q->readings.n; i++) {
        least = sm_reader_mean(&q->readings.row[i]) < sm_reader_mean(least) ? &q->readings.row[i] : least;
        most = sm_reader_mean(&q->readings.row[i]) > sm_reader_mean(most) ? &q->readings.row[i] : most;
    }
    if (times > 1)
        sm_reader_warn(
            r, node,
            "readers %s and %s lie %.3g mm apart, further than SDs of %.2g and %.2g mm allow (fewer than 3 in "
            "1,000 do): one of them may be a slip; until that is settled the error is taken %.2g times as "
            "large",
            least->reader, most->reader, sm_reader_mean(most) - sm_reader_mean(least), q->between_reader_sd_mm,
            q->repeat_sd_mm, times);
}

/* 6. Any quantity */

static bool read_reading(sm_reader *r, const sm_quantity_ask *ask, const cJSON *node, sm_quantity *out)
{
    size_t before = r->faults;
    sd_group g = find_group(r, ask->kind, node);
    out->is_read = true;
    if (cJSON_IsObject(node)) {
        sm_reader_check_keys(r, node, &sm_keys_reading);
        read_readings(r, node, ask->kind, &out->readings);
    } else if (!read_bare(r, node, ask->kind, out))
        return false;
    read_others(r, ask, &g, node, out);
    sm_quantity_ask sds = *ask;
    sds.list &= sm_quantity_uses_reader_sds(out);
    read_sds(r, &sds, &g, node, out);
    read_cross_check(r, ask, node, out);
    check_sds(r, &g, node, out);
    warn_apart(r, node, out);
    if (r->faults == before)
        warn_readers_apart(r, node, out);
    return r->faults == before;
}

/* A number that is exact, or a distribution, with a second look beside it. */
static bool read_known(sm_reader *r, const sm_quantity_ask *ask, const cJSON *node, sm_quantity *out)
{
    const size_t before = r->faults;
    const sm_key key = key_of_kind(ask->kind);
    out->is_read = false;
    if (!sm_value_looked_dist(r, node, &key, &out->value))
        out->value = sm_dist_normal(0.0, 1.0); /* has a spread, so that its look is read and all faults are told */
    else if (sm_reader_member(node, "cross_check"))
        sm_reader_check_duplicates(r, node);
    read_cross_check(r, ask, node, out);
    return r->faults == before;
}

bool sm_read_quantity(sm_reader *r, const sm_quantity_ask *ask, const cJSON *node, sm_quantity *out)
{
    char found[SM_FOUND_SIZE];
    bool object = cJSON_IsObject(node), number = cJSON_IsNumber(node);
    if (!object && !number) {
        sm_reader_fault(r, node, "found %s, expected a reading, a number or a distribution",
                        sm_reader_found(r, node, found));
        return false;
    }
    if ((object && !sm_value_is_dist(node)) || (number && ask->kind->bare_is_reading))
        return read_reading(r, ask, node, out);
    return read_known(r, ask, node, out);
}

bool sm_read_quantity_key(sm_reader *r, const sm_section *s, const sm_key *key, const cJSON *node, sm_quantity *out)
{
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s", s->path, key->name);
    const sm_quantity_ask ask = {.kind = sm_keys_quantity(key->name),
                                 .path = sm_text_string(&path),
                                 .side = s->side ? s->side : "",
                                 .list = s->list,
                                 .patched = sm_reader_member(s->patch, key->name) != NULL};
    const bool ok = sm_read_quantity(r, &ask, node, out);
    r->no_memory |= path.failed;
    sm_text_destroy(&path);
    return ok;
}
