/* draft.c - a case on its way: what has been answered, and null where something must still be filled in.
 *
 * Contents: 1. laying out  2. forms  3. changing  4. questions  5. answers and their faults
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "format/json_doc.h"
#include "format/json_write.h"
#include "casefile/reader.h"
#include "casefile/value.h"

#define FORMAT "slimmargin-case-1"

/* 1. Laying out */

/* Objects whose members stand one a line: the case, its sections, the coronaries. Readings and distributions stay in
 * one line. Recursion ends at depth 3. */
static void node_write(sm_json *w, const char *key, const cJSON *node, int depth, bool in_coronaries)
{
    sm_text one_line = {0};
    if (cJSON_IsObject(node) && depth < (in_coronaries ? 3 : 2)) {
        sm_json_open(w, key, SM_JSON_LINES);
        for (const cJSON *child = node->child; child; child = child->next)
            node_write(w, child->string, child, depth + 1,
                       in_coronaries || (depth == 0 && strcmp(child->string, "coronaries") == 0));
        sm_json_close(w);
        return;
    }
    sm_json_doc_write(node, &one_line);
    sm_json_raw(w, key, one_line.s);
    sm_text_done(&one_line, w->out);
}

static sm_status text_of(const cJSON *root, sm_draft *out)
{
    sm_text text = {0};
    sm_json w = {.out = &text};
    node_write(&w, NULL, root, 0, false);
    sm_text_puts(&text, "\n");
    if (text.failed) {
        sm_text_destroy(&text);
        return SM_NO_MEMORY;
    }
    sm_text_destroy(&out->text);
    out->text = text;
    return SM_OK;
}

static sm_file_text file_of(const sm_draft *draft)
{
    return (sm_file_text){"case", sm_text_string(&draft->text), draft->text.len};
}

/* 2. Forms */

static void blanks(sm_json *w, const char *name, const sm_keys *keys, bool for_dialogue)
{
    sm_json_open(w, name, SM_JSON_LINES);
    for (size_t i = 0; i < keys->n; i++)
        if ((keys->key[i].flags & SM_KEY_REQUIRED) || (for_dialogue && sm_questions_asks(keys, &keys->key[i])))
            sm_json_null(w, keys->key[i].name);
    sm_json_close(w);
}

sm_status sm_draft_create(const char *const *sides, bool for_dialogue, sm_draft *out)
{
    *out = (sm_draft){0};
    sm_json w = {.out = &out->text};
    sm_json_open(&w, NULL, SM_JSON_LINES);
    sm_json_string(&w, "format", FORMAT);
    sm_json_null(&w, "case");
    if (for_dialogue)
        blanks(&w, "scan", &sm_keys_scan, true);
    blanks(&w, "surgical_valve", &sm_keys_valve, false);
    blanks(&w, "implant", &sm_keys_implant, false);
    if (for_dialogue) {
        sm_json_null(&w, "coronaries");
        sm_json_null(&w, "alternatives");
        sm_json_null(&w, "action_line");
    } else {
        sm_json_open(&w, "coronaries", SM_JSON_LINES);
        for (; *sides; sides++)
            blanks(&w, *sides, &sm_keys_coronary, false);
        sm_json_close(&w);
    }
    sm_json_close(&w);
    sm_text_puts(&out->text, "\n");
    return out->text.failed ? SM_NO_MEMORY : SM_OK;
}

sm_status sm_draft_read(sm_file_text file, sm_diag *d, sm_draft *out)
{
    sm_json_doc doc;
    *out = (sm_draft){0};
    sm_status status = sm_json_doc_read(&doc, file, d);
    const cJSON *format = status == SM_OK ? sm_reader_member(doc.root, "format") : NULL;
    if (status == SM_OK && !(cJSON_IsString(format) && strcmp(format->valuestring, FORMAT) == 0)) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = file.name, .line = 1, .column = 1},
                    "this is no case: expected an object { } with \"format\": \"" FORMAT "\"");
        status = SM_REFUSED;
    }
    if (status == SM_OK)
        status = text_of(doc.root, out);
    sm_json_doc_destroy(&doc);
    return status;
}

void sm_draft_destroy(sm_draft *draft)
{
    sm_text_destroy(&draft->text);
}

/* 3. Changing */

/* A side that is said to have no ostium asks for none: its blanks go. */
static void drop_ostium(cJSON *root, const char *pointer)
{
    const char *coronaries = "/coronaries/", *last = strrchr(pointer, '/');
    if (strncmp(pointer, coronaries, strlen(coronaries)) != 0 || !last || strcmp(last, "/ostium") != 0)
        return;
    cJSON *sides = cJSON_GetObjectItemCaseSensitive(root, "coronaries");
    for (cJSON *side = sides ? sides->child : NULL; side; side = side->next) {
        if (!cJSON_IsFalse(cJSON_GetObjectItemCaseSensitive(side, "ostium")))
            continue;
        for (size_t i = 0; i < sm_keys_coronary.n; i++) {
            const sm_key *key = &sm_keys_coronary.key[i];
            cJSON *blank = cJSON_GetObjectItemCaseSensitive(side, key->name);
            if ((key->flags & SM_KEY_OF_OSTIUM) && cJSON_IsNull(blank))
                cJSON_Delete(cJSON_DetachItemViaPointer(side, blank));
        }
    }
}

sm_status sm_draft_put(sm_draft *draft, const char *pointer, const char *json)
{
    sm_json_doc doc, value;
    sm_diag unused = {0};
    bool no_memory = false;
    sm_status status = sm_json_doc_read(&doc, file_of(draft), &unused);
    sm_status read = sm_json_doc_read(&value, (sm_file_text){"answer", json, strlen(json)}, &unused);
    status = status == SM_OK ? read : status;
    if (status == SM_OK) {
        cJSON *taken = value.root;
        value.root = NULL;
        status = sm_json_doc_put(&doc, pointer, taken, &no_memory) && !no_memory ? SM_REFUSED : SM_OK;
    }
    if (status == SM_OK) {
        drop_ostium(doc.root, pointer);
        status = no_memory ? SM_NO_MEMORY : text_of(doc.root, draft);
    }
    sm_json_doc_destroy(&value);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return status;
}

/* The node at a pointer whose tokens hold no ~; its parent goes to *parent, its key (borrowed) to *name. */
static cJSON *node_at(cJSON *root, const char *pointer, cJSON **parent, const char **name)
{
    cJSON *node = root;
    *parent = NULL;
    while (node && *pointer == '/') {
        const char *token = pointer + 1;
        const size_t n = strcspn(token, "/");
        cJSON *child = cJSON_IsObject(node) ? node->child : NULL;
        while (child && !(strncmp(child->string, token, n) == 0 && !child->string[n]))
            child = child->next;
        *parent = node;
        *name = token;
        node = child;
        pointer = token + n;
    }
    return node;
}

/* Takes the member at a pointer out. */
static sm_status take_out(sm_draft *draft, const char *pointer)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    cJSON *parent;
    const char *name;
    sm_status status = sm_json_doc_read(&doc, file_of(draft), &unused);
    cJSON *node = status == SM_OK ? node_at(doc.root, pointer, &parent, &name) : NULL;
    if (node && parent) {
        cJSON_Delete(cJSON_DetachItemViaPointer(parent, node));
        status = text_of(doc.root, draft);
    }
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return status;
}

/* 4. Questions */

/* Whether the question that stands beside a quantity has something to stand beside: an edge readings, a second look
 * readings or a distribution. */
static bool has_its_quantity(cJSON *root, const sm_question *q)
{
    cJSON *parent;
    const char *name;
    node_at(root, q->pointer, &parent, &name);
    return cJSON_IsNumber(parent) || cJSON_IsNull(parent) || sm_reader_member(parent, "readings_mm") ||
           (q->kind == SM_QUESTION_LOOK && sm_value_is_dist(parent));
}

static bool is_beside_readings(const sm_question *q)
{
    return q->kind == SM_QUESTION_EDGE || q->kind == SM_QUESTION_LOOK;
}

/* A gap that is known as a distribution meets no edge: the question falls away. */
static size_t without_idle(cJSON *root, sm_question *q, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (!is_beside_readings(&q[i]) || has_its_quantity(root, &q[i]))
            q[kept++] = q[i];
    return kept;
}

static sm_status questions_of(cJSON *root, sm_question **out, size_t *n)
{
    const char *side[SM_MAX_CORONARIES];
    size_t n_sides = 0;
    const cJSON *all = sm_reader_member(root, "coronaries");
    for (const cJSON *c = cJSON_IsObject(all) ? all->child : NULL; c && n_sides < SM_MAX_CORONARIES; c = c->next)
        side[n_sides++] = c->string;
    const size_t most = sm_questions_list(side, n_sides, NULL, 0);
    *out = calloc(most, sizeof **out);
    if (!*out)
        return SM_NO_MEMORY;
    sm_questions_list(side, n_sides, *out, most);
    *n = without_idle(root, *out, most);
    return SM_OK;
}

sm_status sm_draft_questions(const sm_draft *draft, sm_question **out, size_t *n)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    *out = NULL;
    *n = 0;
    sm_status status = sm_json_doc_read(&doc, file_of(draft), &unused);
    if (status == SM_OK)
        status = questions_of(doc.root, out, n);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return status;
}

sm_answer_state sm_draft_state(const sm_draft *draft, const sm_question *q, sm_text *json)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    cJSON *parent;
    const char *name;
    sm_answer_state state = q->optional ? SM_ANSWER_LEFT_OUT : SM_ANSWER_BLANK;
    const sm_status status = sm_json_doc_read(&doc, file_of(draft), &unused);
    const cJSON *node = status == SM_OK ? node_at(doc.root, q->pointer, &parent, &name) : NULL;
    if (node)
        state = cJSON_IsNull(node) ? SM_ANSWER_BLANK : SM_ANSWER_GIVEN;
    if (json && state == SM_ANSWER_GIVEN)
        sm_json_doc_write(node, json);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return status == SM_NO_MEMORY || (json && json->failed) ? SM_ANSWER_UNKNOWN : state;
}

static void readings_words(const cJSON *readings, sm_text *out)
{
    char number[SM_NUMBER_SIZE];
    for (const cJSON *row = readings->child; row; row = row->next) {
        for (const cJSON *x = row->child; x; x = x->next)
            sm_text_addf(out, "%s%s", sm_number_write(x->valuedouble, number), x->next ? ", " : "");
        sm_text_addf(out, " by %s%s", row->string, row->next ? "; " : "");
    }
}

static void look_words(const cJSON *look, sm_text *out)
{
    const cJSON *modality = sm_reader_member(look, "modality"), *sd = sm_reader_member(look, "reader_sd_mm");
    char number[SM_NUMBER_SIZE];
    readings_words(sm_reader_member(look, "readings_mm"), out);
    if (cJSON_IsString(modality))
        sm_text_addf(out, " (%s", modality->valuestring);
    if (cJSON_IsString(modality) && cJSON_IsNumber(sd))
        sm_text_addf(out, ", SD %s mm", sm_number_write(sd->valuedouble, number));
    sm_text_puts(out, cJSON_IsString(modality) ? ")" : "");
}

static void alternatives_words(const cJSON *list, sm_text *out)
{
    for (const cJSON *child = list->child; child; child = child->next) {
        const cJSON *name = sm_reader_member(child, "name");
        sm_text_addf(out, "%s%s", cJSON_IsString(name) ? name->valuestring : "without a name", child->next ? "; " : "");
    }
}

static void names_words(const cJSON *object, sm_text *out)
{
    for (const cJSON *child = object->child; child; child = child->next)
        sm_text_addf(out, "%s%s", child->string, child->next ? ", " : "");
}

bool sm_draft_words(const sm_question *q, const char *json, sm_text *out)
{
    cJSON *node = cJSON_Parse(json);
    out->failed |= !node;
    const cJSON *readings = sm_reader_member(node, "readings_mm");
    const bool sides = q->kind == SM_QUESTION_SIDES && cJSON_IsObject(node);
    const bool list = q->kind == SM_QUESTION_ALTERNATIVES && cJSON_IsArray(node);
    if (readings && q->kind == SM_QUESTION_LOOK)
        look_words(node, out);
    else if (readings)
        readings_words(readings, out);
    else if (sides)
        names_words(node, out);
    else if (list)
        alternatives_words(node, out);
    cJSON_Delete(node);
    return readings || sides || list;
}

bool sm_draft_other_side(const sm_draft *draft, const sm_question *q, sm_text *json, sm_status *status)
{
    sm_question *all;
    size_t n;
    bool found = false;
    *status = sm_draft_questions(draft, &all, &n);
    for (size_t i = 0; *status == SM_OK && !found && i < n; i++) {
        if (all[i].kind != q->kind || all[i].key != q->key || !all[i].side[0] || strcmp(all[i].side, q->side) == 0)
            continue;
        const sm_answer_state state = sm_draft_state(draft, &all[i], json);
        found = state == SM_ANSWER_GIVEN;
        *status = state == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY : SM_OK;
    }
    free(all);
    return found;
}

sm_status sm_draft_longer_list(const sm_draft *draft, const sm_question *q, const char *more, sm_text *json)
{
    sm_text there = {0};
    const sm_answer_state state = sm_draft_state(draft, q, &there);
    cJSON *list = state == SM_ANSWER_GIVEN ? cJSON_Parse(sm_text_string(&there)) : cJSON_CreateArray();
    cJSON *added = cJSON_Parse(more);
    const bool ok = state != SM_ANSWER_UNKNOWN && !there.failed && list && added;
    while (ok && added->child)
        cJSON_AddItemToArray(list, cJSON_DetachItemViaPointer(added, added->child));
    if (ok)
        sm_json_doc_write(list, json);
    cJSON_Delete(added);
    cJSON_Delete(list);
    sm_text_destroy(&there);
    return ok && !json->failed ? SM_OK : SM_NO_MEMORY;
}

/* 5. Answers and their faults */

sm_status sm_draft_case(const sm_draft *draft, sm_diag *d, sm_casefile **out)
{
    *out = NULL;
    return sm_casefile_read(file_of(draft), (sm_file_text){.name = "", .text = NULL, .length = 0}, NULL, 0, d, out);
}

sm_status sm_draft_check(const sm_draft *draft, sm_diag *d)
{
    sm_casefile *f;
    const sm_status status = sm_draft_case(draft, d, &f);
    sm_casefile_destroy(f);
    return status;
}

static bool is_at_or_below(const char *pointer, const char *at)
{
    const size_t n = strlen(at);
    return pointer && strncmp(pointer, at, n) == 0 && (pointer[n] == '\0' || pointer[n] == '/');
}

static bool was_there(const sm_diag *before, const sm_diag_item *item)
{
    for (size_t i = 0; i < before->n; i++)
        if (strcmp(before->item[i].words, item->words) == 0 && before->item[i].pointer && item->pointer &&
            strcmp(before->item[i].pointer, item->pointer) == 0)
            return true;
    return false;
}

/* A blank elsewhere is no fault of this answer. */
static bool is_blank(const sm_diag_item *item)
{
    return strncmp(item->words, "found null", 10) == 0;
}

/* What the answer brought: all that is said of its place, and faults elsewhere that were not there before. */
static void report_new(const sm_diag *before, const sm_diag *after, const char *pointer, sm_diag *d)
{
    for (size_t i = 0; i < after->n; i++) {
        const sm_diag_item *item = &after->item[i];
        const bool own = is_at_or_below(item->pointer, pointer);
        if (is_blank(item) || (!own && (item->kind == SM_WARNING || was_there(before, item))))
            continue;
        sm_diag_add(d, item->kind, (sm_place){.file = item->file, .pointer = item->pointer}, "%s", item->words);
    }
    d->failed |= before->failed || after->failed;
}

/* What stands beside readings needs them in full: 5.7 becomes the reading of A that it stands for. */
static sm_status write_in_full(sm_draft *draft, const sm_question *q)
{
    sm_question gap = {.optional = true};
    sm_text json = {0}, full = {0};
    snprintf(gap.pointer, sizeof gap.pointer, "/coronaries/%s/%s", q->side, q->key->name);
    const sm_answer_state state = sm_draft_state(draft, &gap, &json);
    sm_status status = state == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY : SM_OK;
    if (state == SM_ANSWER_GIVEN && strspn(json.s, "+-.eE0123456789") == json.len) {
        sm_text_addf(&full, "{\"readings_mm\": {\"A\": [%s]}}", json.s);
        status = full.failed ? SM_NO_MEMORY : sm_draft_put(draft, gap.pointer, full.s);
    }
    sm_text_destroy(&json);
    sm_text_destroy(&full);
    return status;
}

static sm_status put_or_take(sm_draft *draft, const sm_question *q, const char *json)
{
    const sm_status status = json && is_beside_readings(q) ? write_in_full(draft, q) : SM_OK;
    return status != SM_OK ? status : json ? sm_draft_put(draft, q->pointer, json) : take_out(draft, q->pointer);
}

/* Sides that were there keep what was answered of them. */
static sm_status keep_sides(const sm_draft *old, sm_draft *new)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    sm_status status = sm_json_doc_read(&doc, file_of(old), &unused);
    const cJSON *all = sm_reader_member(doc.root, "coronaries");
    for (const cJSON *side = cJSON_IsObject(all) ? all->child : NULL; side && status == SM_OK; side = side->next) {
        sm_question at = {0};
        sm_text json = {0};
        snprintf(at.pointer, sizeof at.pointer, "/coronaries/%.*s", SM_NAME_SIZE, side->string);
        at.optional = true;
        const sm_answer_state state = sm_draft_state(new, &at, NULL);
        if (state != SM_ANSWER_LEFT_OUT) {
            sm_json_doc_write(side, &json);
            status = json.failed || state == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY : sm_draft_put(new, at.pointer, json.s);
        }
        sm_text_destroy(&json);
    }
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return status;
}

static sm_status keep_one(const sm_draft *old, sm_draft *new, const sm_question *beside)
{
    sm_text json = {0};
    const sm_answer_state now = sm_draft_state(new, beside, NULL);
    if (now != SM_ANSWER_LEFT_OUT)
        return now == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY : SM_OK;
    const sm_answer_state before = sm_draft_state(old, beside, &json);
    const sm_status status = before == SM_ANSWER_UNKNOWN
                                 ? SM_NO_MEMORY
                                 : sm_draft_put(new, beside->pointer, before == SM_ANSWER_GIVEN ? json.s : "null");
    sm_text_destroy(&json);
    return status;
}

/* A new reading of a gap keeps what is known of its edge and of a second look, and leaves a blank there if nothing is:
 * too much rests on them. */
static sm_status keep_beside(const sm_draft *old, sm_draft *new, const sm_question *q)
{
    const sm_quantity_kind *quantity = q->kind == SM_QUESTION_KEY ? sm_keys_quantity(q->key->name) : NULL;
    if (!quantity || !sm_keys_is_gap(quantity))
        return SM_OK;
    sm_question *all;
    size_t n;
    sm_status status = sm_draft_questions(new, &all, &n);
    for (size_t i = 0; status == SM_OK && i < n; i++)
        if (is_beside_readings(&all[i]) && strcmp(all[i].side, q->side) == 0 && all[i].key == q->key)
            status = keep_one(old, new, &all[i]);
    free(all);
    return status;
}

static sm_status complete_answer(const sm_draft *old, sm_draft *new, const sm_question *q)
{
    return q->kind == SM_QUESTION_SIDES ? keep_sides(old, new) : keep_beside(old, new, q);
}

sm_status sm_draft_answer(sm_draft *draft, const sm_question *q, const char *json, sm_diag *d)
{
    sm_draft changed = {0};
    sm_diag before = {0}, after = {0};
    sm_text_putn(&changed.text, draft->text.s, draft->text.len);
    sm_status status = changed.text.failed ? SM_NO_MEMORY : put_or_take(&changed, q, json);
    if (status == SM_OK) {
        sm_status told = sm_draft_check(draft, &before);
        told = told == SM_NO_MEMORY ? told : sm_draft_check(&changed, &after);
        status = told == SM_NO_MEMORY ? told : SM_OK;
    }
    if (status == SM_OK) {
        report_new(&before, &after, q->pointer, d);
        status = d->failed ? SM_NO_MEMORY : d->faults ? SM_REFUSED : complete_answer(draft, &changed, q);
    }
    if (status == SM_OK) {
        sm_draft_destroy(draft);
        *draft = changed;
        changed = (sm_draft){0};
    }
    sm_draft_destroy(&changed);
    sm_diag_destroy(&before);
    sm_diag_destroy(&after);
    return status;
}
