/* read_section.c - one object of a case, each key from the first place that states it.
 *
 * Contents: 1. where a value comes from  2. what becomes an assumption  3. reading
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_section.h"

#include <string.h>

#include "casefile/value.h"

/* 1. Where a value comes from */

const cJSON *sm_read_section_object(sm_reader *r, const cJSON *parent, const char *name)
{
    char found[SM_FOUND_SIZE];
    const cJSON *node = sm_reader_member(parent, name);
    if (!node || cJSON_IsObject(node))
        return node;
    sm_reader_fault(r, node, "found %s, expected an object { }", sm_reader_found(r, node, found));
    return NULL;
}

/* What a profile says applies to many cases: a value for leaflets outside the posts is passed over if they are
 * inside, one for posts if there are none. */
static bool profile_applies(const sm_reader *r, const sm_key *key)
{
    if (key->flags & SM_KEY_NEEDS_POSTS)
        return !(r->facts & SM_FACT_STENTLESS);
    return !(key->flags & SM_KEY_NEEDS_OUTSIDE) || (r->facts & SM_FACT_EXTERNAL);
}

const char *sm_read_section_source(const sm_reader *r, const cJSON *object)
{
    const cJSON *own = sm_reader_member(object, "source");
    const cJSON *all = sm_reader_member(r->profile_doc.root, "source");
    return cJSON_IsString(own) ? own->valuestring : cJSON_IsString(all) ? all->valuestring : "the site profile";
}

static sm_entry in_profile(const sm_reader *r, const sm_section *s, const sm_key *key)
{
    const cJSON *node = sm_reader_member(s->profile, key->name);
    if (!node || (key->flags & SM_KEY_REQUIRED) || !profile_applies(r, key))
        return (sm_entry){0};
    if (s->profile_source)
        return (sm_entry){.layer = SM_LAYER_PROFILE, .node = node, .source = s->profile_source};
    const cJSON *value = sm_reader_member(node, "value");
    return value ? (sm_entry){.layer = SM_LAYER_PROFILE,
                              .node = value,
                              .source = sm_read_section_source(r, node),
                              .measured = cJSON_IsTrue(sm_reader_member(node, "measured"))}
                 : (sm_entry){0};
}

/* What a case must state has no default, even if the group has one for a key of that name. */
static const sm_default *default_of(const sm_reader *r, const sm_section *s, const sm_key *key)
{
    const bool must = (key->flags & (SM_KEY_REQUIRED | SM_KEY_STOPGAP)) == SM_KEY_REQUIRED;
    return must ? NULL : sm_defaults_find(s->keys->group, key->name, r->facts);
}

/* Numbers and distributions that describe valve, device, scan and limits; what is read is measured anyhow. */
static bool may_be_measured(const sm_section *s, const sm_key *key)
{
    const bool kind = key->kind == SM_KEY_NUMBER || key->kind == SM_KEY_DIST || key->kind == SM_KEY_QUANTITY ||
                      key->kind == SM_KEY_SHAPE;
    return kind && !s->side && s->path[0];
}

/* Finds where the value of key comes from, under the facts known so far. */
static sm_entry find_value(sm_reader *r, const sm_section *s, const sm_key *key)
{
    const sm_default *line = default_of(r, s, key);
    sm_entry e = {0};
    if (key->flags & s->skip)
        return e;
    if (sm_reader_member(s->patch, key->name))
        e = (sm_entry){.layer = SM_LAYER_PATCH, .node = sm_reader_member(s->patch, key->name)};
    else if (sm_reader_member(s->stated, key->name))
        e = (sm_entry){.layer = SM_LAYER_CASE, .node = sm_reader_member(s->stated, key->name)};
    else
        e = in_profile(r, s, key);
    bool without_posts = (key->flags & SM_KEY_NEEDS_POSTS) && (r->facts & SM_FACT_STENTLESS);
    if ((e.layer == SM_LAYER_PATCH || e.layer == SM_LAYER_CASE) && may_be_measured(s, key))
        e.node = sm_reader_value(r, e.node, &e.measured);
    const bool nowhere =
        (key->flags & SM_KEY_REQUIRED) && !s->stated; /* the whole section is missing: say that alone */
    if (!e.node && line && line->value.json && !without_posts && !nowhere)
        e = (sm_entry){.layer = SM_LAYER_DEFAULT, .node = sm_reader_default(r, line)};
    e.line = line;
    return e;
}

sm_origin sm_read_section_origin(sm_layer layer)
{
    return layer == SM_LAYER_DEFAULT ? SM_FROM_DEFAULT : layer == SM_LAYER_PROFILE ? SM_FROM_PROFILE : SM_FROM_CASE;
}

const sm_entry *sm_read_section_entry(const sm_section *s, const sm_entry *entry, const char *name)
{
    for (size_t i = 0; i < s->keys->n; i++)
        if (strcmp(s->keys->key[i].name, name) == 0)
            return &entry[i];
    return NULL;
}

/* 2. What becomes an assumption */

/* True if the value is one number or word and no distribution. An SD is one too: it was chosen, and another choice
 * would change the answer, whatever share its draws have. */
static bool is_constant(const sm_key *key, const void *object)
{
    const void *field = (const char *)object + key->offset;
    switch (key->kind) {
    case SM_KEY_DIST:
        return sm_dist_is_constant(field);
    case SM_KEY_POST_AZIMUTH:
        return sm_dist_is_constant(&((const sm_surgical_valve *)object)->post_azimuth_deg);
    case SM_KEY_QUANTITY: {
        const sm_quantity *q = field;
        return !q->is_read && sm_dist_is_constant(&q->value);
    }
    default:
        return true;
    }
}

/* What only the deployment shows is nobody's measurement beforehand; a bench may know it. */
static void warn_measured(sm_reader *r, const sm_key *key, const sm_entry *e)
{
    if (e->measured && sm_source_table[key->draws].kind == SM_SOURCE_DEPLOYMENT)
        sm_reader_warn(
            r, e->node,
            "%s is said to be measured, and shows only once the valve is in: it then leaves the settings; say "
            "so only of what a bench has shown for this pair of valves",
            key->name);
}

static void list_assumption(sm_reader *r, const sm_section *s, const sm_key *key, const sm_entry *e, const void *object)
{
    /* What is left between posts says nothing if no leaflet stands off. */
    bool idle = (key->flags & SM_KEY_NEEDS_OUTSIDE) && strcmp(key->name, "mid_fraction") == 0 &&
                e->layer == SM_LAYER_DEFAULT && !(r->facts & SM_FACT_EXTERNAL);
    const bool told = (key->flags & SM_KEY_REQUIRED) && e->layer != SM_LAYER_DEFAULT; /* by the case itself */
    if (!s->list || !e->node || idle || told)
        return;
    sm_assumption_ask ask = {.path = s->path,
                             .key = key->name,
                             .node = e->node,
                             .unit = key->unit,
                             .about = "",
                             .words = key->words,
                             .origin = sm_read_section_origin(e->layer),
                             .source = e->source,
                             .line = e->line,
                             .measured = e->measured,
                             .stands_in = key->flags & SM_KEY_STOPGAP,
                             .side = "",
                             .draws = key->draws,
                             .is_constant = is_constant(key, object)};
    sm_assumptions_add(&r->assumptions, &ask);
}

/* 3. Reading */

static bool read_one(sm_reader *r, const sm_section *s, const sm_key *key, const sm_entry *e, void *object)
{
    if (key->kind != SM_KEY_QUANTITY)
        return sm_value_read(r, e->node, key, object);
    return s->read_quantity(r, s, key, e->node, (sm_quantity *)(void *)((char *)object + key->offset));
}

static bool read_by_own_code(const sm_key *key)
{
    return key->kind == SM_KEY_TEXT || key->kind == SM_KEY_OBJECT || key->kind == SM_KEY_LIST;
}

static void clear_facts(sm_reader *r, const sm_keys *keys)
{
    for (size_t i = 0; i < keys->n; i++)
        for (const sm_key_word *c = keys->key[i].choice; c && c->name; c++)
            r->facts &= ~c->fact;
}

static void refuse_missing(sm_reader *r, const sm_section *s, const sm_key *key)
{
    if (s->stated)
        sm_reader_fault(r, s->stated, "the key \"%s\" is missing (%s), expected in %s%s", key->name, key->words,
                        s->keys->what,
                        key->flags & SM_KEY_OF_OSTIUM ? ", or \"ostium\": false if no coronary leaves this sinus" : "");
}

/* A default in place of what a case should state. */
static void warn_stopgap(sm_reader *r, const sm_section *s, const sm_key *key, const sm_entry *e)
{
    if ((key->flags & SM_KEY_STOPGAP) && e->layer == SM_LAYER_DEFAULT && !s->patch)
        sm_reader_warn(r, s->stated, "%s is not stated (%s): %s %s is taken, a judgement; state it", key->name,
                       key->words, e->line->value.plain, key->unit);
}

void sm_read_section(sm_reader *r, const sm_section *s, void *object, sm_entry *entry)
{
    bool muted = r->muted;
    clear_facts(r, s->keys);
    for (size_t i = 0; i < s->keys->n; i++) {
        const sm_key *key = &s->keys->key[i];
        if (read_by_own_code(key)) {
            if (entry)
                entry[i] = (sm_entry){0};
            continue;
        }
        sm_entry e = find_value(r, s, key);
        /* A profile's value was checked in the profile, and what an alternative leaves alone in the case. */
        r->muted = muted || e.layer == SM_LAYER_PROFILE || (s->patch && e.layer != SM_LAYER_PATCH);
        if (!e.node && (key->flags & SM_KEY_REQUIRED) && !(key->flags & s->skip))
            refuse_missing(r, s, key);
        e.ok = e.node && read_one(r, s, key, &e, object);
        if (e.ok) {
            warn_stopgap(r, s, key, &e);
            warn_measured(r, key, &e);
            list_assumption(r, s, key, &e, object);
        }
        r->muted = muted;
        if (entry)
            entry[i] = e;
    }
}
