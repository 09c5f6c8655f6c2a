/* json_doc.c - a JSON text as a cJSON tree in which every node knows where it stood.
 *
 * Contents: 1. reading  2. places and pointers  3. putting a value at a pointer  4. writing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/json_doc.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/utf8.h"
#include "format/json_write.h"

/* 1. Reading */

static int by_address(const void *a, const void *b)
{
    const cJSON *x = ((const sm_json_place *)a)->node, *y = ((const sm_json_place *)b)->node;
    return (x > y) - (x < y);
}

static bool place_add(sm_json_doc *doc, sm_json_place place)
{
    sm_json_place *grown = sm_grow(doc->place, doc->n, &doc->cap, 256, sizeof *grown);
    if (!grown)
        return false;
    doc->place = grown;
    doc->place[doc->n++] = place;
    return true;
}

/* Walks the tree in document order beside the spots of the scan (NULL: nodes put in by an override). Recursion is
 * bounded by SM_JSON_DEPTH_LIMIT. */
static bool places_collect(sm_json_doc *doc, const cJSON *node, const cJSON *parent, size_t index,
                           const sm_json_spots *spots, size_t *next)
{
    sm_json_place p = {.node = node,
                       .parent = parent,
                       .index = index,
                       .changed = !spots,
                       .key = SM_JSON_NOWHERE,
                       .value = SM_JSON_NOWHERE};
    if (spots && *next < spots->n) {
        p.key = spots->spot[*next].key;
        p.value = spots->spot[*next].value;
        ++*next;
    }
    if (!place_add(doc, p))
        return false;
    size_t i = 0;
    for (const cJSON *child = node->child; child; child = child->next)
        if (!places_collect(doc, child, node, i++, spots, next))
            return false;
    return true;
}

static void places_sort(sm_json_doc *doc)
{
    qsort(doc->place, doc->n, sizeof *doc->place, by_address);
}

/* The same for few places from `from` on, the others being in order: a version of a case puts a dozen values, each a
 * few places among hundreds. */
static void places_settle(sm_json_doc *doc, size_t from)
{
    for (size_t i = from; i < doc->n; i++) {
        const sm_json_place p = doc->place[i];
        size_t low = 0, high = i;
        while (low < high) {
            const size_t middle = (low + high) / 2;
            if (by_address(&p, &doc->place[middle]) < 0)
                high = middle;
            else
                low = middle + 1;
        }
        memmove(&doc->place[low + 1], &doc->place[low], (i - low) * sizeof p);
        doc->place[low] = p;
    }
}

sm_status sm_json_doc_read(sm_json_doc *doc, sm_file_text file, sm_diag *d)
{
    *doc = (sm_json_doc){.file = file};
    sm_json_spots spots;
    sm_status status = sm_json_scan(file, &spots, d);
    if (status == SM_OK) {
        /* The scan let it pass, so that only a lack of memory can stop cJSON. */
        doc->root = cJSON_ParseWithLength(file.text, file.length);
        doc->removed = cJSON_CreateArray();
        size_t next = 0;
        if (!doc->root || !doc->removed || !places_collect(doc, doc->root, NULL, 0, &spots, &next))
            status = SM_NO_MEMORY;
        else
            places_sort(doc);
    }
    sm_json_spots_destroy(&spots);
    return status;
}

void sm_json_doc_destroy(sm_json_doc *doc)
{
    cJSON_Delete(doc->root);
    cJSON_Delete(doc->removed);
    free(doc->place);
    *doc = (sm_json_doc){0};
}

/* 2. Places and pointers */

static sm_json_place *find_place(const sm_json_doc *doc, const cJSON *node)
{
    sm_json_place wanted = {.node = node};
    return doc->n ? bsearch(&wanted, doc->place, doc->n, sizeof wanted, by_address) : NULL;
}

const sm_json_place *sm_json_doc_place(const sm_json_doc *doc, const cJSON *node)
{
    return find_place(doc, node);
}

#define TOKEN_LIMIT 400 /* bytes; no key that means anything is longer */

/* ~ and / escaped as RFC 6901 asks. */
static void token_write(const char *key, sm_text *out)
{
    for (const char *start = key; *key; key++) {
        bool begins = !sm_utf8_continues(*key);
        if (key - start >= TOKEN_LIMIT && begins) {
            sm_text_puts(out, "...");
            return;
        }
        if (*key == '~')
            sm_text_puts(out, "~0");
        else if (*key == '/')
            sm_text_puts(out, "~1");
        else
            sm_text_putn(out, key, 1);
    }
}

void sm_json_doc_pointer(const sm_json_doc *doc, const cJSON *node, sm_text *out)
{
    const sm_json_place *chain[2 * SM_JSON_DEPTH_LIMIT];
    size_t n = 0;
    for (const sm_json_place *p = sm_json_doc_place(doc, node); p && p->parent && n < 2 * SM_JSON_DEPTH_LIMIT;
         p = sm_json_doc_place(doc, p->parent))
        chain[n++] = p;
    while (n--) {
        sm_text_puts(out, "/");
        if (cJSON_IsArray(chain[n]->parent))
            sm_text_addf(out, "%zu", chain[n]->index);
        else
            token_write(chain[n]->node->string ? chain[n]->node->string : "", out);
    }
}

/* 3. Putting a value at a pointer */

/* Reads the next token of *at into token; false if an escape is none. */
static bool token_read(const char **at, char *token)
{
    const char *s = *at + 1;
    for (; *s && *s != '/'; s++) {
        if (*s != '~')
            *token++ = *s;
        else if (s[1] == '0' || s[1] == '1')
            *token++ = *++s == '0' ? '~' : '/';
        else
            return false;
    }
    *token = '\0';
    *at = s;
    return true;
}

/* Item `token` of a list, NULL if it is not one of its places. */
static cJSON *list_item(const cJSON *list, const char *token)
{
    size_t index = 0;
    size_t digits = strspn(token, "0123456789");
    if (!digits || token[digits] || digits > 6 || (token[0] == '0' && digits > 1))
        return NULL;
    for (const char *c = token; *c; c++)
        index = 10 * index + (size_t)(*c - '0');
    cJSON *item = list->child;
    while (item && index--)
        item = item->next;
    return item;
}

static cJSON *child_of(const cJSON *parent, const char *token)
{
    return cJSON_IsArray(parent) ? list_item(parent, token) : cJSON_GetObjectItemCaseSensitive(parent, token);
}

/* Whether the token at s, up to the next / or the end, is the escaped form of key. */
static bool token_is(const char *s, const char *key)
{
    for (; *s && *s != '/'; s++, key++) {
        const char c = *s != '~' ? *s : s[1] == '0' ? '~' : s[1] == '1' ? '/' : '\0';
        if (c == '\0' || c != *key)
            return false;
        s += *s == '~';
    }
    return *key == '\0';
}

/* The child of node under the token at s; digits hold no escape, and a place in a list is short. */
static const cJSON *child_at(const cJSON *node, const char *s)
{
    char index[8] = "";
    const size_t n = strcspn(s, "/");
    if (cJSON_IsArray(node)) {
        memcpy(index, s, n < sizeof index ? n : 0);
        return list_item(node, index);
    }
    for (const cJSON *c = cJSON_IsObject(node) ? node->child : NULL; c; c = c->next)
        if (token_is(s, c->string))
            return c;
    return NULL;
}

/* It needs no memory: "nothing stands there" is always true. */
const cJSON *sm_json_doc_at(const sm_json_doc *doc, const char *pointer)
{
    const cJSON *node = doc->root;
    for (; node && *pointer; pointer += 1 + strcspn(pointer + 1, "/"))
        node = *pointer == '/' ? child_at(node, pointer + 1) : NULL;
    return node;
}

/* Links value where old is. cJSON_ReplaceItemViaPointer would free old, and cJSON_InsertItemInArray of 1.7.15 as
 * patched by Debian (CVE-2023-50471) refuses every place but the first and the last. */
static void take_place(cJSON *parent, cJSON *old, cJSON *value)
{
    value->next = old->next;
    value->prev = old->prev == old ? value : old->prev;
    if (parent->child == old)
        parent->child = value;
    else
        old->prev->next = value;
    if (value->next)
        value->next->prev = value;
    else
        parent->child->prev = value; /* the first item's prev is the last */
    old->next = old->prev = NULL;
}

/* Puts value under token of parent, in the place of `old` (NULL: a new key). Takes value over in every case. */
static bool put_child(sm_json_doc *doc, cJSON *parent, const char *token, cJSON *old, cJSON *value)
{
    size_t index = 0, none = 0;
    for (const cJSON *c = parent->child; c && c != old; c = c->next)
        index++;
    /* Only adding to an object gives a value its key; if it replaces one it then moves to the old one's place. */
    if (cJSON_IsObject(parent) && !cJSON_AddItemToObject(parent, token, value)) {
        cJSON_Delete(value);
        return false;
    }
    if (old) {
        if (cJSON_IsObject(parent))
            cJSON_DetachItemViaPointer(parent, value);
        take_place(parent, old, value);
        cJSON_AddItemToArray(doc->removed, old);
    }
    const size_t from = doc->n;
    bool done = places_collect(doc, value, parent, index, NULL, &none);
    places_settle(doc, from);
    return done;
}

/* A bare reading x as {"readings_mm": {"1": [x]}}. */
static cJSON *reading_in_full(double x)
{
    cJSON *full = cJSON_CreateObject();
    cJSON *readings = cJSON_AddObjectToObject(full, "readings_mm");
    cJSON *row = cJSON_AddArrayToObject(readings, "1");
    cJSON *number = cJSON_CreateNumber(x);
    if (row && number && cJSON_AddItemToArray(row, number))
        return full;
    cJSON_Delete(number);
    cJSON_Delete(full);
    return NULL;
}

/* The object or list one step down: made if it is missing, a bare reading of a coronary written in full. */
static cJSON *step_down(sm_json_doc *doc, cJSON *parent, const char *token, size_t depth, bool in_coronaries,
                        bool *no_memory)
{
    cJSON *child = child_of(parent, token);
    if (cJSON_IsObject(child) || cJSON_IsArray(child))
        return child;
    bool reading = in_coronaries && depth == 2 && cJSON_IsNumber(child);
    if ((child && !reading) || cJSON_IsArray(parent))
        return NULL;
    cJSON *made = reading ? reading_in_full(child->valuedouble) : cJSON_CreateObject();
    if (made && put_child(doc, parent, token, child, made))
        return made;
    *no_memory = true;
    return NULL;
}

/* The last step: the value under token of parent. What takes the place of an added value is an added one itself. */
static bool put_last(sm_json_doc *doc, cJSON *parent, const char *token, cJSON *value)
{
    cJSON *old = child_of(parent, token);
    const sm_json_place *before = old ? sm_json_doc_place(doc, old) : NULL;
    const bool added = !old || (before && before->added);
    if (!put_child(doc, parent, token, old, value))
        return false;
    find_place(doc, value)->added = added;
    return true;
}

static const char *put_at(sm_json_doc *doc, const char *pointer, char *token, cJSON **value, bool *no_memory)
{
    cJSON *parent = doc->root;
    bool in_coronaries = strncmp(pointer, "/coronaries/", 12) == 0;
    const char *at = pointer;
    for (size_t depth = 0; depth < SM_JSON_DEPTH_LIMIT; depth++) {
        if (!token_read(&at, token))
            return "~ must be written ~0 and / inside a key ~1";
        if (!*at) {
            if (cJSON_IsArray(parent) && !child_of(parent, token))
                return "there is no such place in the list";
            cJSON *taken = *value;
            *value = NULL;
            *no_memory |= !put_last(doc, parent, token, taken);
            return NULL;
        }
        parent = step_down(doc, parent, token, depth, in_coronaries, no_memory);
        if (!parent)
            return *no_memory ? NULL : "it leads through a value that is no object and no list";
    }
    return "it is more than 64 steps long";
}

const char *sm_json_doc_put(sm_json_doc *doc, const char *pointer, cJSON *value, bool *no_memory)
{
    char *token = malloc(strlen(pointer) + 1);
    const char *wrong = NULL;
    if (!token)
        *no_memory = true;
    else if (pointer[0] != '/' || !cJSON_IsObject(doc->root))
        wrong = "a JSON pointer begins with / (as in /implant/nominal_diameter_mm)";
    else
        wrong = put_at(doc, pointer, token, &value, no_memory);
    free(token);
    cJSON_Delete(value);
    return wrong;
}

bool sm_json_doc_remove(sm_json_doc *doc, const char *pointer)
{
    const cJSON *node = pointer[0] ? sm_json_doc_at(doc, pointer) : NULL;
    const sm_json_place *place = node ? sm_json_doc_place(doc, node) : NULL;
    if (!place)
        return false;
    cJSON_AddItemToArray(doc->removed, cJSON_DetachItemViaPointer((cJSON *)place->parent, (cJSON *)node));
    return true;
}

/* 4. Writing */

static void scalar_write(const cJSON *node, sm_text *out)
{
    char number[SM_NUMBER_SIZE];
    if (cJSON_IsString(node))
        sm_json_escape(out, node->valuestring);
    else if (cJSON_IsNumber(node) && isinf(node->valuedouble)) /* as a text writes it, so that it reads back the same */
        sm_text_puts(out, node->valuedouble > 0 ? "1e999" : "-1e999");
    else if (cJSON_IsNumber(node))
        sm_text_puts(out, sm_number_write(node->valuedouble, number));
    else
        sm_text_puts(out, cJSON_IsTrue(node) ? "true" : cJSON_IsFalse(node) ? "false" : "null");
}

/* Recursion is bounded by SM_JSON_DEPTH_LIMIT. */
void sm_json_doc_write(const cJSON *node, sm_text *out)
{
    bool object = cJSON_IsObject(node);
    if (!object && !cJSON_IsArray(node)) {
        scalar_write(node, out);
        return;
    }
    sm_text_puts(out, object ? "{" : "[");
    for (const cJSON *child = node->child; child; child = child->next) {
        if (object) {
            sm_json_escape(out, child->string ? child->string : "");
            sm_text_puts(out, ": ");
        }
        sm_json_doc_write(child, out);
        if (child->next)
            sm_text_puts(out, ", ");
    }
    sm_text_puts(out, object ? "}" : "]");
}
