/* read_profile.c - the check of a site profile; its values are taken later, if the case leaves a key open.
 *
 * Contents: 1. values with a source  2. sections  3. readers  4. the profile
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_profile.h"

#include <string.h>

#include "casefile/check_across.h"
#include "casefile/read_quantity.h"
#include "casefile/value.h"

/* Room for any section's struct: each value is read into it and thrown away. */
typedef union {
    sm_scan scan;
    sm_base_plane plane;
    sm_surgical_valve valve;
    sm_implant implant;
    sm_limits limits;
    sm_population population;
    sm_gantry gantry;
    sm_case whole;
    sm_quantity quantity;
    sm_cross_check cross_check;
} scratch;

/* 1. Values with a source */

static void check_source(sm_reader *r, const cJSON *object)
{
    const cJSON *own = sm_reader_member(object, "source");
    const char *text;
    if (own)
        sm_value_text(r, own, NULL, 400, &text);
    else if (!sm_reader_member(r->profile_doc.root, "source"))
        sm_reader_fault(r, object,
                        "the key \"source\" is missing, expected here or at the top of the profile: where do "
                        "these values come from?");
}

/* A thickness may stand in a profile, but never a reading of one patient. */
static void check_quantity(sm_reader *r, const cJSON *value, const sm_key *key)
{
    sm_key as_dist = *key;
    sm_dist d;
    if (sm_reader_member(value, "readings_mm"))
        sm_reader_fault(r, value, "found a reading, expected a number or a distribution: readings belong to a case");
    else if (sm_reader_member(value, "cross_check"))
        sm_reader_fault_key(r, sm_reader_member(value, "cross_check"),
                            "found a cross_check, expected a number or a distribution: second looks belong to a case");
    else
        sm_value_dist(r, value, &as_dist, &d);
}

static void check_value(sm_reader *r, const cJSON *value, const sm_key *key)
{
    scratch any;
    memset(&any, 0, sizeof any);
    if (key->kind == SM_KEY_QUANTITY)
        check_quantity(r, value, key);
    else
        sm_value_read(r, value, key, &any);
}

/* That a value was measured is said, or left out. */
static void check_measured(sm_reader *r, const cJSON *node)
{
    char found[SM_FOUND_SIZE];
    const cJSON *said = sm_reader_member(node, "measured");
    if (said && !cJSON_IsTrue(said))
        sm_reader_fault(r, said, "found %s, expected true: leave it out where nothing was measured",
                        sm_reader_found(r, said, found));
}

/* {"value":, "source":, "measured": true} */
static void check_wrapped(sm_reader *r, const cJSON *node, const sm_key *key)
{
    char found[SM_FOUND_SIZE];
    const cJSON *value = sm_reader_member(node, "value");
    if (!value) {
        sm_reader_fault(r, node, "found %s%s, expected {\"value\": ..., \"source\": ...}",
                        sm_reader_found(r, node, found), cJSON_IsObject(node) ? " without the key \"value\"" : "");
        return;
    }
    sm_reader_check_keys(r, node, &sm_keys_profile_value);
    check_source(r, node);
    check_measured(r, node);
    check_value(r, value, key);
}

/* 2. Sections */

static void check_section(sm_reader *r, const cJSON *section, const sm_keys *keys, bool wrapped)
{
    sm_reader_check_keys(r, section, keys);
    for (const cJSON *node = section->child; node; node = node->next) {
        const sm_key *key = sm_keys_find(keys, node->string);
        if (!key || key->kind == SM_KEY_OBJECT)
            continue;
        if (key->flags & SM_KEY_REQUIRED)
            sm_reader_fault_key(r, node, "found the key \"%s\", expected only keys that a case may leave open",
                                key->name);
        else if (wrapped)
            check_wrapped(r, node, key);
        else
            check_value(r, node, key);
    }
}

/* The base plane: key by key, or the whole object as one value. */
static void check_base_plane(sm_reader *r, const cJSON *scan)
{
    const cJSON *plane = sm_read_section_object(r, scan, "base_plane");
    const cJSON *whole = sm_reader_member(plane, "value");
    if (!plane)
        return;
    if (whole) {
        sm_reader_check_keys(r, plane, &sm_keys_profile_value);
        check_source(r, plane);
        check_measured(r, plane);
        plane = sm_read_section_object(r, plane, "value");
    }
    if (plane) {
        check_section(r, plane, &sm_keys_base_plane, !whole);
        sm_check_across_plane_form(r, plane);
    }
}

const cJSON *sm_read_profile_section(const sm_reader *r, const char *name)
{
    const cJSON *section = sm_reader_member(r->profile_doc.root, name);
    return cJSON_IsObject(section) ? section : NULL;
}

/* 3. Readers */

static void check_reader_cross_check(sm_reader *r, const cJSON *entry, const sm_quantity_kind *kind)
{
    const cJSON *node = sm_read_section_object(r, entry, "cross_check");
    if (!node)
        return;
    if (!sm_keys_is_gap(kind))
        sm_reader_fault_key(r, node, "found a cross_check on %s, expected only on ostium_gap and stj_gap", kind->name);
    sm_reader_check_keys(r, node, &sm_keys_profile_cross_check);
    if (!sm_reader_member(node, "modality"))
        sm_reader_fault(r, node, "the key \"modality\" is missing, expected in a profile's cross-check");
    for (const cJSON *child = node->child; child; child = child->next) {
        const sm_key *key = sm_keys_find(&sm_keys_profile_cross_check, child->string);
        if (key)
            check_value(r, child, key);
    }
}

static void check_reader(sm_reader *r, const cJSON *entry, const sm_quantity_kind *kind)
{
    static const char *const sds[] = {"between_reader_sd_mm", "repeat_sd_mm"};
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsObject(entry)) {
        sm_reader_fault(r, entry, "found %s, expected an object { }", sm_reader_found(r, entry, found));
        return;
    }
    check_section(r, entry, &sm_keys_profile_reader, false);
    check_source(r, entry);
    check_reader_cross_check(r, entry, kind);
    bool has[] = {sm_reader_member(entry, sds[0]) != NULL, sm_reader_member(entry, sds[1]) != NULL};
    for (size_t i = 0; i < 2; i++)
        if (has[1 - i] && !has[i])
            sm_reader_warn(r, entry, "%s is not stated beside %s: it is taken as 0", sds[i], sds[1 - i]);
    const cJSON *dof = sm_reader_member(entry, "dof"), *plane = sm_reader_member(entry, "sd_includes_plane");
    if (dof && !has[0] && !has[1])
        sm_reader_fault_key(r, dof,
                            "found dof without an SD beside it, expected between_reader_sd_mm or repeat_sd_mm in "
                            "the same place");
    if (cJSON_IsTrue(plane) && !has[0] && !has[1])
        sm_reader_fault_key(r, plane,
                            "found sd_includes_plane without an SD beside it, expected between_reader_sd_mm or "
                            "repeat_sd_mm in the same place");
}

/* The quantity that a key of `readers` names, by the name of its source or its key in a case. */
static const sm_quantity_kind *kind_named(const char *name)
{
    const sm_quantity_kind *kind;
    size_t n = sm_keys_quantities(&kind);
    for (size_t i = 0; i < n; i++)
        if (strcmp(kind[i].name, name) == 0 || strcmp(kind[i].key, name) == 0)
            return &kind[i];
    return NULL;
}

static void check_readers(sm_reader *r, const cJSON *readers)
{
    const sm_quantity_kind *kind;
    sm_key names[16] = {{0}};
    size_t n = sm_keys_quantities(&kind), m = 0;
    for (size_t i = 0; i < n; i++)
        names[m++].name = kind[i].name;
    for (size_t i = 0; i < n; i++)
        if (strcmp(kind[i].name, kind[i].key) != 0)
            names[m++].name = kind[i].key;
    sm_keys keys = {.what = "a profile's readers", .key = names, .n = m};
    sm_reader_check_keys(r, readers, &keys);
    for (const cJSON *entry = readers->child; entry; entry = entry->next) {
        const sm_quantity_kind *of = kind_named(entry->string);
        if (of && strcmp(of->name, of->key) != 0 && strcmp(entry->string, of->key) == 0 &&
            sm_reader_member(readers, of->name))
            sm_reader_fault_key(r, entry, "found \"%s\" beside \"%s\", expected one of them", of->key, of->name);
        if (of)
            check_reader(r, entry, of);
    }
}

/* 4. The profile */

static void check_texts(sm_reader *r, const cJSON *root)
{
    static const char *const names[] = {"format", "site", "source", "note"};
    char found[SM_FOUND_SIZE];
    const char *text;
    for (size_t i = 0; i < 4; i++) {
        const cJSON *node = sm_reader_member(root, names[i]);
        if (node && i > 0)
            sm_value_text(r, node, NULL, 400, &text);
        else if (node && !(cJSON_IsString(node) && strcmp(node->valuestring, "slimmargin-profile-1") == 0))
            sm_reader_fault(r, node, "found %s, expected \"slimmargin-profile-1\"", sm_reader_found(r, node, found));
        else if (!node && i < 2)
            sm_reader_fault(r, root, "the key \"%s\" is missing, expected in a site profile", names[i]);
    }
}

static void check_sections(sm_reader *r, const cJSON *root)
{
    static const struct {
        const char *name;
        const sm_keys *keys;
    } sections[] = {{"scan", &sm_keys_scan},     {"surgical_valve", &sm_keys_valve},  {"implant", &sm_keys_implant},
                    {"limits", &sm_keys_limits}, {"population", &sm_keys_population}, {"gantry", &sm_keys_gantry}};
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++) {
        const cJSON *section = sm_read_section_object(r, root, sections[i].name);
        if (section)
            check_section(r, section, sections[i].keys, true);
    }
    check_base_plane(r, sm_read_profile_section(r, "scan"));
}

/* {"value": [looks], "source":}; the looks themselves are checked against the case that they are read for. */
static void check_looks(sm_reader *r, const cJSON *root)
{
    const cJSON *node = sm_read_section_object(r, root, "looks");
    if (!node)
        return;
    sm_reader_check_keys(r, node, &sm_keys_profile_value);
    check_source(r, node);
    if (!sm_reader_member(node, "value"))
        sm_reader_fault(r, node, "the key \"value\" is missing, expected a list of looks");
}

void sm_read_profile(sm_reader *r)
{
    const cJSON *root = r->profile_doc.root;
    char found[SM_FOUND_SIZE];
    unsigned facts = r->facts;
    if (root && !cJSON_IsObject(root))
        sm_reader_fault(r, root, "found %s, expected an object { }", sm_reader_found(r, root, found));
    if (!cJSON_IsObject(root))
        return;
    sm_reader_check_keys(r, root, &sm_keys_profile);
    check_texts(r, root);
    check_sections(r, root);
    if (sm_reader_member(root, "action_line"))
        check_wrapped(r, sm_reader_member(root, "action_line"), &sm_keys_action.key[0]);
    check_looks(r, root);
    const cJSON *readers = sm_read_section_object(r, root, "readers");
    if (readers)
        check_readers(r, readers);
    r->facts = facts;
}
