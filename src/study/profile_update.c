/* profile_update.c - a site profile with new reader errors, everything else in it kept.
 *
 * Contents: 1. checks of the old text  2. entries  3. what is replaced  4. writing  5. update
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "study/profile_update.h"

#include <cjson/cJSON.h>
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "format/json_scan.h"
#include "format/json_write.h"
#include "casefile/keys.h"

#define PROFILE_FORMAT "slimmargin-profile-1"

static const sm_quantity_kind *kind_of(const char *quantity)
{
    const sm_quantity_kind *kind;
    size_t n = sm_keys_quantities(&kind);
    for (size_t i = 0; i < n; i++)
        if (strcmp(quantity, kind[i].name) == 0)
            return &kind[i];
    return NULL;
}

bool sm_profile_takes(const char *quantity)
{
    return kind_of(quantity) != NULL;
}

/* 1. Checks of the old text */

/* What would be lost or changed by writing the tree again: keys that stand twice, numbers beyond the range of a double.
 * NULL if nothing. */
static const char *find_loss(const cJSON *node, int depth)
{
    if (depth >= SM_JSON_DEPTH)
        return "is nested too deep";
    if (cJSON_IsNumber(node) && !isfinite(node->valuedouble))
        return "holds a number that is too large";
    for (const cJSON *child = node->child; child; child = child->next) {
        if (cJSON_IsObject(node) && cJSON_GetObjectItemCaseSensitive(node, child->string) != child)
            return "holds a key twice";
        const char *loss = find_loss(child, depth + 1);
        if (loss)
            return loss;
    }
    return NULL;
}

/* What is wrong with the old profile as far as this file needs it right; reading a case checks all of it. */
static const char *find_fault(const cJSON *root)
{
    if (!cJSON_IsObject(root))
        return "is not a site profile: it must be one JSON object";
    const char *format = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "format"));
    if (!format || strcmp(format, PROFILE_FORMAT) != 0)
        return "is not a site profile: \"format\" must be \"" PROFILE_FORMAT "\"";
    const cJSON *readers = cJSON_GetObjectItemCaseSensitive(root, "readers");
    if (readers && !cJSON_IsObject(readers))
        return "\"readers\" must be an object";
    for (const cJSON *e = readers ? readers->child : NULL; e; e = e->next)
        if (!cJSON_IsObject(e))
            return "each entry of \"readers\" must be an object";
    return find_loss(root, 0);
}

/* The tree of the old profile. SM_REFUSED with a fault in d. */
static sm_status read_profile(sm_file_text old, sm_diag *d, cJSON **out)
{
    sm_json_spots spots = {0};
    sm_status status = sm_json_scan(old, &spots, d);
    sm_json_spots_destroy(&spots);
    if (status != SM_OK)
        return status;
    *out = cJSON_ParseWithLength(old.text, old.length); /* the scan let it pass: only memory can be missing */
    const char *wrong = *out ? find_fault(*out) : NULL;
    if (wrong)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = old.name}, "the profile %s; it was left as it is", wrong);
    return !*out || d->failed ? SM_NO_MEMORY : wrong ? SM_REFUSED : SM_OK;
}

/* 2. Entries */

/* SDs to 0.0001 mm and dof to 0.1: beyond any study, and short enough to read. */
static double to_places(double x, int places)
{
    double unit = pow(10.0, places);
    return round(x * unit) / unit;
}

/* If an entry keeps other keys (bloom_edges, cross_check), what the old source says of them is kept behind these
 * words. */
#define OTHER_KEYS "; other keys: "

static bool has_other_keys(const cJSON *entry)
{
    for (const cJSON *child = entry->child; child; child = child->next)
        if (strcmp(child->string, "bloom_edges") == 0 || strcmp(child->string, "resolution_mm") == 0 ||
            strcmp(child->string, "cross_check") == 0)
            return true;
    return false;
}

/* The part of the old source that speaks of the other keys, "" if there is none. */
static const char *source_of_other_keys(const cJSON *entry, const char **joint)
{
    const char *old = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(entry, "source"));
    const char *behind = old ? strstr(old, OTHER_KEYS) : NULL;
    *joint = "";
    if (!old || !has_other_keys(entry))
        return "";
    *joint = OTHER_KEYS;
    return behind ? behind + strlen(OTHER_KEYS) : old;
}

/* Puts value at key of entry; takes it over in every case. Replacing, cJSON 1.7.15 says yes even if memory for the
 * key was missing, so the key is looked up again. */
static bool put(cJSON *entry, const char *key, cJSON *value)
{
    bool held = value && (cJSON_GetObjectItemCaseSensitive(entry, key)
                              ? cJSON_ReplaceItemInObjectCaseSensitive(entry, key, value)
                              : cJSON_AddItemToObject(entry, key, value));
    if (!held)
        cJSON_Delete(value);
    return held && cJSON_GetObjectItemCaseSensitive(entry, key) == value;
}

static bool put_source(cJSON *entry, const char *source)
{
    const char *joint, *others = source_of_other_keys(entry, &joint);
    sm_text text = {0};
    sm_text_addf(&text, "%s%s%s", source, joint, others);
    bool done = !text.failed && put(entry, "source", cJSON_CreateString(text.s));
    sm_text_destroy(&text);
    return done;
}

/* The entry of a quantity, which may stand under its key in a case (inner_diameter_mm); made if there is none. */
static cJSON *find_entry(cJSON *readers, const char *quantity)
{
    const sm_quantity_kind *kind = kind_of(quantity);
    cJSON *e = cJSON_GetObjectItemCaseSensitive(readers, quantity);
    if (!e && kind)
        e = cJSON_GetObjectItemCaseSensitive(readers, kind->key);
    return e ? e : cJSON_AddObjectToObject(readers, quantity);
}

static bool put_entry(cJSON *readers, const sm_profile_reader *r)
{
    cJSON *e = find_entry(readers, r->quantity);
    return e && put(e, "between_reader_sd_mm", cJSON_CreateNumber(to_places(r->between_reader_sd_mm, 4))) &&
           put(e, "repeat_sd_mm", cJSON_CreateNumber(to_places(r->repeat_sd_mm, 4))) &&
           put(e, "dof", cJSON_CreateNumber(to_places(r->dof, 1))) &&
           put(e, "sd_includes_plane", cJSON_CreateBool(r->sd_includes_plane)) && put_source(e, r->source);
}

static bool put_entries(cJSON *root, const sm_profile_reader *reader, size_t n)
{
    cJSON *readers = cJSON_GetObjectItemCaseSensitive(root, "readers");
    if (!readers)
        readers = cJSON_AddObjectToObject(root, "readers");
    bool done = readers != NULL;
    for (size_t i = 0; done && i < n; i++)
        done = put_entry(readers, &reader[i]);
    return done;
}

static sm_status new_profile(const char *site, cJSON **out)
{
    *out = cJSON_CreateObject();
    return *out && cJSON_AddStringToObject(*out, "format", PROFILE_FORMAT) &&
                   cJSON_AddStringToObject(*out, "site", site)
               ? SM_OK
               : SM_NO_MEMORY;
}

/* 3. What is replaced */

/* What an entry rests on. */
typedef struct {
    bool has_sd, has_counts;
    double sd, dof; /* of one reading, mm; dof 0 if not stated */
    size_t cases, readers, readings;
} footing;

/* "12 cases" at s: the number, and what follows; NULL if it is something else. */
static const char *count_at(const char *s, const char *word, size_t *out)
{
    char *end;
    if (!isdigit((unsigned char)*s))
        return NULL;
    *out = (size_t)strtoul(s, &end, 10);
    if (*end++ != ' ' || strncmp(end, word, strlen(word)) != 0)
        return NULL;
    end += strlen(word);
    end += *end == 's';
    return *end == ',' ? end + 1 + (end[1] == ' ') : end;
}

/* "12 cases, 3 readers, 72 readings", as learn writes into a source; the last that stands there. */
static void find_counts(const char *source, footing *f)
{
    const char *end = strstr(source, OTHER_KEYS);
    for (const char *s = source; *s && s != end; s++) {
        size_t cases, readers, readings;
        const char *next = s > source && isdigit((unsigned char)s[-1]) ? NULL : count_at(s, "case", &cases);
        next = next ? count_at(next, "reader", &readers) : NULL;
        if (next && count_at(next, "reading", &readings)) {
            f->has_counts = true;
            f->cases = cases;
            f->readers = readers;
            f->readings = readings;
        }
    }
}

static double number_at(const cJSON *entry, const char *key)
{
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(entry, key);
    return cJSON_IsNumber(found) ? found->valuedouble : 0.0;
}

static footing footing_of(const cJSON *entry)
{
    static const char *const key[] = {"between_reader_sd_mm", "repeat_sd_mm"};
    const char *source = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(entry, "source"));
    footing f = {.has_sd = cJSON_HasObjectItem(entry, key[0]) || cJSON_HasObjectItem(entry, key[1]),
                 .sd = hypot(number_at(entry, key[0]), number_at(entry, key[1])),
                 .dof = number_at(entry, "dof")};
    if (source)
        find_counts(source, &f);
    return f;
}

static footing new_footing(const sm_profile_reader *r)
{
    return (footing){true,       r->readings > 0, hypot(r->between_reader_sd_mm, r->repeat_sd_mm), r->dof, r->cases,
                     r->readers, r->readings};
}

static bool is_larger(const footing *a, const footing *b)
{
    if (a->has_counts && b->has_counts)
        return a->cases > b->cases || a->readers > b->readers || a->readings > b->readings;
    return to_places(a->dof, 1) > to_places(b->dof, 1);
}

static bool is_same(const footing *a, const footing *b)
{
    return fabs(a->sd - b->sd) < 2e-4 && a->cases == b->cases && a->readers == b->readers && a->readings == b->readings;
}

static void footing_words(sm_text *out, const footing *f)
{
    if (f->has_counts)
        sm_text_addf(out, "%zu cases, %zu readers, %zu readings", f->cases, f->readers, f->readings);
    else if (f->dof > 0.0)
        sm_text_addf(out, "a study of unknown size, %.3g degrees of freedom", f->dof);
    else
        sm_text_puts(out, "a study of unknown size");
    sm_text_addf(out, ", SD of one reading %.2f mm", f->sd);
}

/* False if the entry must stay. */
static bool may_replace(const cJSON *entry, const sm_profile_reader *r, bool replace, const char *file, sm_diag *d)
{
    const footing old = footing_of(entry), new = new_footing(r);
    sm_text there = {0}, here = {0};
    if (!old.has_sd || is_same(&old, &new))
        return true;
    const bool larger = is_larger(&old, &new);
    footing_words(&there, &old);
    footing_words(&here, &new);
    if (larger && !replace)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = file},
                    "%s: the profile has a larger study: %s; this one: %s. Add --replace if it shall go all the same",
                    r->quantity, sm_text_string(&there), sm_text_string(&here));
    else
        sm_diag_add(d, SM_WARNING, (sm_place){.file = file}, "%s: replaced: %s; by: %s", r->quantity,
                    sm_text_string(&there), sm_text_string(&here));
    d->failed = d->failed || there.failed || here.failed;
    sm_text_destroy(&there);
    sm_text_destroy(&here);
    return replace || !larger;
}

static const cJSON *entry_of(const cJSON *root, const char *quantity)
{
    const sm_quantity_kind *kind = kind_of(quantity);
    const cJSON *readers = cJSON_GetObjectItemCaseSensitive(root, "readers");
    const cJSON *e = cJSON_GetObjectItemCaseSensitive(readers, quantity);
    return e || !kind ? e : cJSON_GetObjectItemCaseSensitive(readers, kind->key);
}

/* All entries that must stay are reported. */
static sm_status compare_studies(const cJSON *root, const sm_profile_reader *reader, size_t n, bool replace,
                                 const char *file, sm_diag *d)
{
    bool may = true;
    for (size_t i = 0; i < n; i++) {
        const cJSON *e = entry_of(root, reader[i].quantity);
        may = (!e || may_replace(e, &reader[i], replace, file, d)) && may;
    }
    return d->failed ? SM_NO_MEMORY : may ? SM_OK : SM_REFUSED;
}

/* 4. Writing */

static void write_node(sm_json *j, const cJSON *node, const char *name)
{
    if (cJSON_IsObject(node) || cJSON_IsArray(node)) {
        bool object = cJSON_IsObject(node);
        if (object)
            sm_json_open(j, name, SM_JSON_LINES);
        else
            sm_json_open_list(j, name, SM_JSON_LINES);
        for (const cJSON *child = node->child; child; child = child->next)
            write_node(j, child, object ? child->string : NULL);
        sm_json_close(j);
    } else if (cJSON_IsNumber(node))
        sm_json_number(j, name, node->valuedouble);
    else if (cJSON_IsString(node))
        sm_json_string(j, name, node->valuestring);
    else if (cJSON_IsBool(node))
        sm_json_truth(j, name, cJSON_IsTrue(node));
    else
        sm_json_null(j, name);
}

/* 5. Update */

sm_status sm_profile_update(sm_file_text old, const char *site, const sm_profile_reader *reader, size_t n, bool replace,
                            sm_diag *d, sm_text *out)
{
    cJSON *root = NULL;
    sm_status status = old.text ? read_profile(old, d, &root) : new_profile(site, &root);
    if (status == SM_OK)
        status = compare_studies(root, reader, n, replace, old.name, d);
    if (status == SM_OK && !put_entries(root, reader, n))
        status = SM_NO_MEMORY;
    if (status == SM_OK) {
        sm_json j = {.out = out};
        write_node(&j, root, NULL);
        status = out->failed ? SM_NO_MEMORY : SM_OK;
    }
    cJSON_Delete(root);
    return status;
}
