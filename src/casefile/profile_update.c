/* profile_update.c - a site profile with new reader errors, everything else in it kept.
 *
 * Contents: 1. checks of the old text  2. entries  3. writing  4. update
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/profile_update.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <string.h>

#include "casefile/csv.h"
#include "casefile/json_text.h"
#include "casefile/study_csv.h"

#define PROFILE_FORMAT     "slimmargin-profile-1"
#define PROFILE_SIZE_LIMIT ((size_t)4 * 1024 * 1024)

bool sm_profile_takes(const char *quantity)
{
    double low, high;
    return sm_study_range(quantity, &low, &high);
}

/* 1. Checks of the old text */

/* What would be lost or changed by writing the tree again: keys that stand twice, numbers beyond the range of a double.
 * NULL if nothing. */
static const char *find_loss(const cJSON *node)
{
    if (cJSON_IsNumber(node) && !isfinite(node->valuedouble))
        return "holds a number that is too large";
    for (const cJSON *child = node->child; child; child = child->next) {
        if (cJSON_IsObject(node) && cJSON_GetObjectItemCaseSensitive(node, child->string) != child)
            return "holds a key twice";
        const char *loss = find_loss(child);
        if (loss)
            return loss;
    }
    return NULL;
}

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
    return find_loss(root);
}

/* cJSON reads no further than the value: only white space may follow it. */
static bool only_blanks(const char *s, const char *end)
{
    while (s < end && strchr(" \t\r\n", *s))
        s++;
    return s == end;
}

static void say(sm_diag *d, sm_file_text old, size_t offset, const char *words)
{
    sm_place place = {.file = old.name, .line = 1, .column = 1};
    for (size_t i = 0; i < offset && i < old.length; i++) {
        place.column = old.text[i] == '\n' ? 1 : place.column + 1;
        place.line += old.text[i] == '\n';
    }
    sm_diag_add(d, SM_FAULT, place, "%s; the profile was left as it is", words);
}

/* cJSON would cut a string at an escaped zero. */
static bool holds_escaped_zero(sm_file_text t)
{
    static const char escape[] = "\\u0000";
    for (size_t i = 0; i + sizeof escape - 1 <= t.length; i++)
        if (memcmp(t.text + i, escape, sizeof escape - 1) == 0)
            return true;
    return false;
}

/* The tree of the old profile, NULL with a fault in d. */
static cJSON *read_profile(sm_file_text old, sm_diag *d)
{
    size_t bad = old.length > PROFILE_SIZE_LIMIT ? 0 : sm_utf8_check(old.text, old.length);
    if (bad != old.length || holds_escaped_zero(old)) {
        say(d, old, bad == old.length ? 0 : bad, "the profile is not UTF-8 text, holds a zero or is larger than 4 MB");
        return NULL;
    }
    const char *end = NULL;
    cJSON *root = cJSON_ParseWithLengthOpts(old.text, old.length, &end, false);
    if (!root || !only_blanks(end, old.text + old.length)) {
        say(d, old, end ? (size_t)(end - old.text) : 0, "the profile is not JSON from here on");
        cJSON_Delete(root);
        return NULL;
    }
    const char *wrong = find_fault(root);
    if (!wrong)
        return root;
    sm_diag_add(d, SM_FAULT, (sm_place){.file = old.name}, "the profile %s; it was left as it is", wrong);
    cJSON_Delete(root);
    return NULL;
}

/* 2. Entries */

/* SDs to 0.0001 mm and dof to 0.1: beyond any study, and short enough to read. */
static double to_places(double x, int places)
{
    double unit = pow(10.0, places);
    return round(x * unit) / unit;
}

static cJSON *make_entry(const sm_profile_reader *r)
{
    cJSON *e = cJSON_CreateObject();
    bool done = e && cJSON_AddNumberToObject(e, "between_reader_sd_mm", to_places(r->between_reader_sd_mm, 4)) &&
                cJSON_AddNumberToObject(e, "repeat_sd_mm", to_places(r->repeat_sd_mm, 4)) &&
                cJSON_AddNumberToObject(e, "dof", to_places(r->dof, 1)) &&
                cJSON_AddBoolToObject(e, "sd_includes_plane", r->sd_includes_plane) &&
                cJSON_AddStringToObject(e, "source", r->source);
    if (done)
        return e;
    cJSON_Delete(e);
    return NULL;
}

static bool put_entry(cJSON *readers, const sm_profile_reader *r)
{
    cJSON *e = make_entry(r);
    if (!e)
        return false;
    bool done = cJSON_GetObjectItemCaseSensitive(readers, r->quantity)
                    ? cJSON_ReplaceItemInObjectCaseSensitive(readers, r->quantity, e)
                    : cJSON_AddItemToObject(readers, r->quantity, e);
    if (!done)
        cJSON_Delete(e);
    return done;
}

static cJSON *new_profile(const char *site)
{
    cJSON *root = cJSON_CreateObject();
    if (root && cJSON_AddStringToObject(root, "format", PROFILE_FORMAT) && cJSON_AddStringToObject(root, "site", site))
        return root;
    cJSON_Delete(root);
    return NULL;
}

/* 3. Writing */

static void write_node(sm_json_text *j, const cJSON *node, const char *name)
{
    if (cJSON_IsObject(node) || cJSON_IsArray(node)) {
        bool object = cJSON_IsObject(node);
        sm_json_open(j, name, object ? '{' : '[');
        for (const cJSON *child = node->child; child; child = child->next)
            write_node(j, child, object ? child->string : NULL);
        sm_json_close(j, object ? '}' : ']');
    } else if (cJSON_IsNumber(node))
        sm_json_number(j, name, node->valuedouble);
    else if (cJSON_IsString(node))
        sm_json_string(j, name, node->valuestring);
    else if (cJSON_IsBool(node))
        sm_json_bool(j, name, cJSON_IsTrue(node));
    else
        sm_json_null(j, name);
}

/* 4. Update */

sm_status sm_profile_update(sm_file_text old, const char *site, const sm_profile_reader *reader, size_t n, sm_diag *d,
                            sm_text *out)
{
    cJSON *root = old.text ? read_profile(old, d) : new_profile(site);
    if (!root)
        return old.text && !d->failed ? SM_REFUSED : SM_NO_MEMORY;
    cJSON *readers = cJSON_GetObjectItemCaseSensitive(root, "readers");
    if (!readers)
        readers = cJSON_AddObjectToObject(root, "readers");
    bool done = readers != NULL;
    for (size_t i = 0; done && i < n; i++)
        done = put_entry(readers, &reader[i]);
    if (done) {
        sm_json_text j = {.out = out};
        write_node(&j, root, NULL);
        sm_text_puts(out, "\n");
    }
    cJSON_Delete(root);
    return done && !out->failed ? SM_OK : SM_NO_MEMORY;
}
