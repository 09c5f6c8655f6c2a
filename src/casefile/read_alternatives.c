/* read_alternatives.c - what might be done instead: patches of valve and implant, laceration, rescue, burden.
 *
 * Contents: 1. names  2. lacerate and rescue  3. patches  4. does it change anything?  5. all alternatives
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_alternatives.h"

#include <stdlib.h>
#include <string.h>

#include "casefile/check_across.h"
#include "casefile/value.h"

#define NAME_LIMIT 400

/* 1. Names */

static void read_name(sm_reader *r, const cJSON *node, sm_case *c, sm_alternative *a)
{
    const cJSON *name = sm_reader_member(node, "name");
    const char *text;
    if (!name) {
        sm_reader_fault(r, node, "the key \"name\" is missing, expected in an alternative");
        return;
    }
    if (!sm_value_text(r, name, NULL, NAME_LIMIT, &text))
        return;
    if (strcmp(text, "as planned") == 0)
        sm_reader_fault(r, name, "found the name \"as planned\", expected another: it stands for the case itself");
    for (const sm_alternative *b = c->alternative; b < a; b++)
        if (b->name && strcmp(b->name, text) == 0) {
            sm_reader_fault(r, name, "found the name of an earlier alternative, expected each name once");
            break;
        }
    a->name = sm_string_copy(text);
    r->no_memory |= !a->name;
}

/* 2. Lacerate and rescue */

static void refuse_side(sm_reader *r, const cJSON *node, const sm_case *c)
{
    const char *known[SM_MAX_CORONARIES];
    char name[SM_FOUND_SIZE];
    sm_text list = {0};
    for (size_t i = 0; i < c->n_coronaries; i++) {
        known[i] = c->coronary[i].name;
        sm_text_addf(&list, "%s%s", i ? ", " : "", known[i]);
    }
    const char *near = sm_keys_nearest(node->string, known, c->n_coronaries);
    sm_reader_fault_key(r, node, "found \"%s\", expected the name of a coronary of this case (%s)%s%s%s",
                        sm_reader_key(node, name), sm_text_string(&list), near ? ": did you mean \"" : "",
                        near ? near : "", near ? "\"?" : "");
    r->no_memory |= list.failed;
    sm_text_destroy(&list);
}

/* {side: probability of success}; true if any is above 0. */
static bool read_sides(sm_reader *r, const cJSON *alternative, const char *name, const sm_case *c, double *out)
{
    static const sm_key probability = {.low = 0.0, .high = 1.0, .unit = "probability of success"};
    const cJSON *sides = sm_read_section_object(r, alternative, name);
    bool any = false;
    if (!sides)
        return false;
    sm_reader_check_duplicates(r, sides);
    for (const cJSON *node = sides->child; node; node = node->next) {
        size_t k = 0;
        while (k < c->n_coronaries && strcmp(c->coronary[k].name, node->string) != 0)
            k++;
        if (k == c->n_coronaries)
            refuse_side(r, node, c);
        else if (!c->coronary[k].has_ostium)
            sm_reader_fault_key(r, node,
                                "found \"%s\", from which no coronary leaves (\"ostium\": false), expected a side with "
                                "an ostium: there is nothing to %s",
                                c->coronary[k].name, name);
        else if (sm_value_number(r, node, &probability, &out[k]))
            any |= out[k] > 0.0;
    }
    return any;
}

/* 3. Patches */

static sm_section patched(sm_reader *r, const sm_section *planned, const cJSON *alternative)
{
    static const cJSON nothing = {.type = cJSON_Object};
    sm_section s = *planned;
    const cJSON *patch = sm_read_section_object(r, alternative, planned->keys->group);
    if (patch)
        sm_reader_check_keys(r, patch, planned->keys);
    s.patch = patch ? patch : &nothing; /* so that what is left alone is not reported again */
    s.list = false;
    return s;
}

/* Reads valve and implant once more with the patch before all other places, so that a default that depends on a patched
 * key follows it, and the alternative owns all it holds. */
static void read_patches(sm_reader *r, const sm_planned *planned, const cJSON *node, sm_alternative *a)
{
    sm_entry valve_entry[SM_KEYS_MOST], implant_entry[SM_KEYS_MOST];
    sm_section valve = patched(r, &planned->valve, node), implant = patched(r, &planned->implant, node);
    unsigned facts = r->facts;
    a->patches_valve = sm_reader_member(node, planned->valve.keys->group) != NULL;
    a->patches_implant = sm_reader_member(node, planned->implant.keys->group) != NULL;
    sm_read_section(r, &valve, &a->valve, valve_entry);
    sm_read_section(r, &implant, &a->implant, implant_entry);
    sm_valve_in_valve pair = {&valve, &implant, &a->valve, &a->implant, valve_entry, implant_entry};
    if (planned->sound)
        sm_check_across_pair(r, &pair);
    r->facts = facts;
}

/* 4. Does it change anything? */

static bool patch_changes(const sm_section *planned, const sm_entry *entry, const cJSON *alternative)
{
    const cJSON *patch = sm_reader_member(alternative, planned->keys->group);
    for (const cJSON *node = patch ? patch->child : NULL; node; node = node->next) {
        const sm_entry *e = node->string ? sm_read_section_entry(planned, entry, node->string) : NULL;
        if (e && !(e->node && cJSON_Compare(e->node, node, true)))
            return true;
    }
    return false;
}

static bool states_one(const cJSON *node)
{
    static const char *const names[] = {"implant", "surgical_valve", "lacerate", "rescue"};
    for (size_t i = 0; i < 4; i++)
        if (sm_reader_member(node, names[i]))
            return true;
    return false;
}

static void check_effect(sm_reader *r, const sm_planned *planned, const cJSON *node, bool on_sides)
{
    if (!states_one(node))
        sm_reader_fault(r, node,
                        "found nothing that this alternative does, expected at least one of implant, "
                        "surgical_valve, lacerate, rescue");
    else if (planned->sound && !on_sides && !patch_changes(&planned->valve, planned->valve_entry, node) &&
             !patch_changes(&planned->implant, planned->implant_entry, node))
        sm_reader_warn(r, node, "this alternative has no effect: it is the same as the case as planned");
}

/* 5. All alternatives */

static void read_alternative(sm_reader *r, const sm_planned *planned, const cJSON *node, sm_case *c, sm_alternative *a)
{
    char found[SM_FOUND_SIZE];
    size_t before = r->faults;
    for (size_t k = 0; k < SM_MAX_CORONARIES; k++)
        a->lacerate[k] = a->rescue[k] = SM_NOT_DONE;
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(r, node, "found %s, expected an object { }", sm_reader_found(r, node, found));
        return;
    }
    sm_reader_check_keys(r, node, &sm_keys_alternative);
    read_name(r, node, c, a);
    bool lacerates = read_sides(r, node, "lacerate", c, a->lacerate);
    bool rescues = read_sides(r, node, "rescue", c, a->rescue);
    read_patches(r, planned, node, a);
    const cJSON *burden = sm_reader_member(node, "burden");
    a->burden_stated = burden != NULL;
    if (burden)
        sm_value_read(r, burden, sm_keys_find(&sm_keys_alternative, "burden"), a);
    if (r->faults == before || !states_one(node))
        check_effect(r, planned, node, lacerates || rescues);
}

void sm_read_alternatives(sm_reader *r, const sm_planned *planned, sm_case *c)
{
    char found[SM_FOUND_SIZE];
    const cJSON *all = sm_reader_member(r->case_doc.root, "alternatives");
    int n = cJSON_IsArray(all) ? cJSON_GetArraySize(all) : 0;
    if (all && (!cJSON_IsArray(all) || n > SM_MAX_ALTERNATIVES)) {
        sm_reader_fault(r, all, "found %s%s, expected a list of at most %d alternatives",
                        sm_reader_found(r, all, found), cJSON_IsArray(all) ? " of more" : "", SM_MAX_ALTERNATIVES);
        return;
    }
    c->alternative = n ? calloc((size_t)n, sizeof *c->alternative) : NULL;
    r->no_memory |= n && !c->alternative;
    if (!c->alternative)
        return;
    for (const cJSON *node = all->child; node; node = node->next)
        read_alternative(r, planned, node, c, &c->alternative[c->n_alternatives++]);
}
