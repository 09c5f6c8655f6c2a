/* reader.c - what the readers of this floor share: messages with their place, and the check of an object's keys.
 *
 * Contents: 1. messages  2. what was found  3. defaults as nodes  4. the keys of an object  5. what was measured
 *           6. release
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/reader.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "casefile/identifiers.h"

/* 1. Messages */

/* The document that holds node; a built-in default is in none. */
static const sm_json_doc *doc_of(const sm_reader *r, const cJSON *node)
{
    if (sm_json_doc_place(&r->case_doc, node))
        return &r->case_doc;
    return sm_json_doc_place(&r->profile_doc, node) ? &r->profile_doc : NULL;
}

static void say(sm_reader *r, sm_diag_kind kind, const cJSON *node, bool at_key, const char *fmt, va_list args)
{
    r->faults += kind == SM_FAULT;
    if (r->muted || r->diag->n > SM_READER_MESSAGES)
        return;
    if (r->diag->n == SM_READER_MESSAGES) {
        sm_diag_add(r->diag, kind, (sm_place){0}, "there are more messages than %d; the rest is not listed",
                    SM_READER_MESSAGES);
        return;
    }
    sm_text words = {0}, pointer = {0};
    sm_place place = {.file = "built-in default"};
    const sm_json_doc *doc = doc_of(r, node);
    const sm_json_place *p = doc ? sm_json_doc_place(doc, node) : NULL;
    if (p) {
        size_t offset = at_key && p->key != SM_JSON_NOWHERE ? p->key : p->value;
        place.file = p->changed ? "changed value" : doc->file.name;
        if (offset != SM_JSON_NOWHERE)
            sm_json_locate(doc->file.text, offset, &place.line, &place.column);
        sm_json_doc_pointer(doc, node, &pointer);
    }
    place.pointer = sm_text_string(&pointer);
    sm_text_addv(&words, fmt, args);
    sm_diag_add(r->diag, kind, place, "%s", sm_text_string(&words));
    r->no_memory |= words.failed || pointer.failed;
    sm_text_destroy(&words);
    sm_text_destroy(&pointer);
}

void sm_reader_fault(sm_reader *r, const cJSON *node, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    say(r, SM_FAULT, node, false, fmt, args);
    va_end(args);
}

void sm_reader_warn(sm_reader *r, const cJSON *node, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    say(r, SM_WARNING, node, false, fmt, args);
    va_end(args);
}

void sm_reader_fault_key(sm_reader *r, const cJSON *node, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    say(r, SM_FAULT, node, true, fmt, args);
    va_end(args);
}

/* 2. What was found */

/* The length of the number or text at s, which the scan has passed; at most size. */
static size_t token_length(const char *s, size_t size)
{
    size_t n = 1;
    if (*s != '"') {
        while (n < size && s[n] && strchr("+-.0123456789eE", s[n]))
            n++;
        return n;
    }
    while (n < size && s[n] != '"')
        n += s[n] == '\\' ? 2 : 1;
    return n + 1 < size ? n + 1 : size;
}

/* Copies n bytes of s, cut with "..." if they are too many, never inside a character. */
static void copy_cut(char *out, const char *s, size_t n)
{
    bool whole = n < SM_FOUND_SIZE;
    size_t keep = whole ? n : SM_FOUND_SIZE - 8;
    while (!whole && keep && sm_utf8_continues(s[keep]))
        keep--;
    memcpy(out, s, keep);
    memcpy(out + keep, whole ? "" : "...", whole ? 1 : 4);
}

const char *sm_reader_key(const cJSON *node, char out[SM_FOUND_SIZE])
{
    copy_cut(out, node->string, strlen(node->string));
    return out;
}

const char *sm_reader_found(sm_reader *r, const cJSON *node, char out[SM_FOUND_SIZE])
{
    const sm_json_doc *doc = doc_of(r, node);
    const sm_json_place *p = doc ? sm_json_doc_place(doc, node) : NULL;
    if (cJSON_IsObject(node))
        memcpy(out, "an object", 10);
    else if (cJSON_IsArray(node))
        memcpy(out, "a list", 7);
    else if (cJSON_IsNull(node)) /* the blank of a form that `new` wrote */
        memcpy(out, "null (not filled in)", 21);
    else if (p && p->value != SM_JSON_NOWHERE && (cJSON_IsNumber(node) || cJSON_IsString(node)))
        copy_cut(out, doc->file.text + p->value, token_length(doc->file.text + p->value, doc->file.length - p->value));
    else {
        sm_text words = {0};
        sm_json_doc_write(node, &words);
        copy_cut(out, sm_text_string(&words), words.len);
        r->no_memory |= words.failed;
        sm_text_destroy(&words);
    }
    return out;
}

bool sm_reader_is_added(const sm_reader *r, const cJSON *node)
{
    const sm_json_place *p = sm_json_doc_place(&r->case_doc, node);
    return p && p->added;
}

/* 3. Defaults as nodes */

const cJSON *sm_reader_default(sm_reader *r, const sm_default *line)
{
    if (!line || !line->value.json)
        return NULL;
    if (!r->default_node)
        r->default_node = calloc(sm_defaults_count(), sizeof(cJSON *));
    size_t i = (size_t)(line - sm_defaults_line(0));
    if (r->default_node && !r->default_node[i])
        r->default_node[i] = cJSON_Parse(line->value.json);
    r->no_memory |= !r->default_node || !r->default_node[i];
    return r->default_node ? r->default_node[i] : NULL;
}

/* 4. The keys of an object */

const cJSON *sm_reader_member(const cJSON *object, const char *name)
{
    return cJSON_IsObject(object) ? cJSON_GetObjectItemCaseSensitive(object, name) : NULL;
}

static bool same_but_case(const char *a, const char *b)
{
    for (; *a && tolower((unsigned char)*a) == tolower((unsigned char)*b); a++)
        b++;
    return !*a && !*b;
}

/* Says that a key is not known: of the wrong case, a patient's identifier, near a known one, or none of these. */
static void refuse_key(sm_reader *r, const cJSON *node, const sm_keys *keys)
{
    char name[SM_FOUND_SIZE];
    const char *known[SM_KEYS_MOST];
    size_t n = keys->n < SM_KEYS_MOST ? keys->n : SM_KEYS_MOST;
    sm_reader_key(node, name);
    for (size_t i = 0; i < n; i++) {
        known[i] = keys->key[i].name;
        if (same_but_case(node->string, known[i])) {
            sm_reader_fault_key(r, node, "found the key \"%s\", expected small letters: did you mean \"%s\"?", name,
                                known[i]);
            return;
        }
    }
    const char *nearest = sm_keys_nearest(node->string, known, n);
    const sm_keys *home = sm_keys_home(node->string);
    if (sm_identifiers_key(node->string)) {
        sm_reader_fault_key(r, node,
                            "found the key \"%s\", which looks like an identifier of a patient; expected none: "
                            "no file of this program may identify a patient",
                            name);
    } else if (home) {
        sm_reader_fault_key(r, node, "found the key \"%s\" in %s, expected it in %s", name, keys->what, home->what);
    } else if (nearest) {
        sm_reader_fault_key(r, node, "found the unknown key \"%s\", expected a key of %s: did you mean \"%s\"?", name,
                            keys->what, nearest);
    } else {
        sm_text list = {0};
        for (size_t i = 0; i < n; i++)
            sm_text_addf(&list, "%s%s", i ? ", " : "", known[i]);
        sm_reader_fault_key(r, node, "found the unknown key \"%s\", expected a key of %s: %s", name, keys->what,
                            sm_text_string(&list));
        r->no_memory |= list.failed;
        sm_text_destroy(&list);
    }
}

typedef struct {
    const cJSON *node;
    size_t order;
} ordered_child;

static int by_key_then_order(const void *a, const void *b)
{
    const ordered_child *x = a, *y = b;
    const int keys = strcmp(x->node->string, y->node->string);
    return keys ? keys : (x->order > y->order) - (x->order < y->order);
}

/* Sorting keeps this fast for an object of a hundred thousand keys. Only the pair is reported, at the later of the two
 * in the file: the order of equal keys is theirs there, whatever the sorting does. */
void sm_reader_check_duplicates(sm_reader *r, const cJSON *object)
{
    size_t n = (size_t)cJSON_GetArraySize(object), i = 0;
    if (n < 2)
        return;
    ordered_child *sorted = malloc(n * sizeof *sorted);
    if (!sorted) {
        r->no_memory = true;
        return;
    }
    for (const cJSON *child = object->child; child; child = child->next, i++)
        sorted[i] = (ordered_child){child, i};
    qsort(sorted, n, sizeof *sorted, by_key_then_order);
    for (i = 1; i < n; i++) {
        char name[SM_FOUND_SIZE];
        const cJSON *node = sorted[i].node;
        if (strcmp(sorted[i - 1].node->string, node->string) == 0)
            sm_reader_fault_key(r, node, "found the key \"%s\" more than once in the same object, expected it once",
                                sm_reader_key(node, name));
    }
    free(sorted);
}

void sm_reader_check_keys(sm_reader *r, const cJSON *object, const sm_keys *keys)
{
    for (const cJSON *child = object->child; child; child = child->next)
        if (!sm_keys_find(keys, child->string))
            refuse_key(r, child, keys);
    sm_reader_check_duplicates(r, object);
}

/* 5. What was measured */

const cJSON *sm_reader_value(sm_reader *r, const cJSON *node, bool *measured)
{
    static const sm_key names[] = {{.name = "value"}, {.name = "measured"}};
    static const sm_keys keys = {.what = "a measured value", .key = names, .n = 2};
    char found[SM_FOUND_SIZE];
    const cJSON *said = sm_reader_member(node, "measured"), *value = sm_reader_member(node, "value");
    *measured = said != NULL;
    if (!said)
        return node;
    if (value)
        sm_reader_check_keys(r, node, &keys);
    if (!cJSON_IsTrue(said))
        sm_reader_fault(r, said, "found %s, expected true: leave it out where nothing was measured",
                        sm_reader_found(r, said, found));
    if (!value)
        sm_reader_fault(
            r, node,
            "the key \"value\" is missing beside \"measured\", expected as in {\"value\": 0.9, \"measured\": true} or "
            "{\"value\": {\"normal\": {\"mean\": 0.9, \"sd\": 0.1}}, \"measured\": true}");
    return value;
}

/* 6. Release */

void sm_reader_destroy(sm_reader *r)
{
    for (size_t i = 0; r->default_node && i < sm_defaults_count(); i++)
        cJSON_Delete(r->default_node[i]);
    free(r->default_node);
    sm_assumptions_destroy(&r->assumptions);
    sm_json_doc_destroy(&r->case_doc);
    sm_json_doc_destroy(&r->profile_doc);
    *r = (sm_reader){0};
}
