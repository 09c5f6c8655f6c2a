/* page_call.c - one call, JSON in, JSON out.
 *
 * Contents: 1. reading a request  2. writing an answer  3. the call
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web/page_call.h"

#include <stdlib.h>
#include <string.h>

/* 1. Reading a request */

const char *sm_page_text(const cJSON *request, const char *key)
{
    const char *s = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(request, key));
    return s ? s : "";
}

double sm_page_number(const cJSON *request, const char *key, double otherwise)
{
    const cJSON *x = cJSON_GetObjectItemCaseSensitive(request, key);
    return cJSON_IsNumber(x) ? x->valuedouble : otherwise;
}

static sm_file_text file_of(const cJSON *request, const char *text_key, const char *name_key, const char *otherwise)
{
    const char *text = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(request, text_key)),
               *name = sm_page_text(request, name_key);
    return (sm_file_text){.name = name[0] ? name : otherwise, .text = text, .length = text ? strlen(text) : 0};
}

sm_status sm_page_case(const cJSON *request, sm_diag *d, sm_casefile **out)
{
    sm_file_text text = file_of(request, "case", "case_name", "case");
    if (!text.text)
        text.text = "";
    return sm_casefile_read(text, file_of(request, "profile", "profile_name", "profile"), NULL, 0, d, out);
}

/* 2. Writing an answer */

#define STATUS_NAME(name, exit_status, words) #name,
static const char *const status_names[] = {SM_STATUS_LIST(STATUS_NAME)};

/* "ok" of SM_OK. */
void sm_page_status(sm_json *w, sm_status s)
{
    char name[32] = "";
    const char *from = status_names[s] + strlen("SM_");
    for (size_t i = 0; from[i] && i + 1 < sizeof name; i++)
        name[i] = (char)(from[i] == '_' ? '_' : from[i] + ('a' - 'A'));
    sm_json_string(w, "status", name);
    sm_json_count(w, "exit", sm_status_exit(s));
}

static void message(sm_json *w, const sm_diag_item *m)
{
    sm_json_open(w, NULL, SM_JSON_LINE);
    sm_json_string(w, "severity", m->kind == SM_FAULT ? "fault" : "warning");
    sm_json_string(w, "file", m->file);
    sm_json_count(w, "line", (int64_t)m->line);
    sm_json_count(w, "column", (int64_t)m->column);
    sm_json_string(w, "pointer", m->pointer);
    sm_json_string(w, "words", m->words);
    sm_json_close(w);
}

void sm_page_messages(sm_json *w, const sm_diag *d)
{
    sm_json_open_list(w, "messages", SM_JSON_LINES);
    for (size_t i = 0; i < d->n; i++)
        message(w, &d->item[i]);
    sm_json_close(w);
}

/* 3. The call */

static const struct {
    const char *name;
    void (*answer)(const cJSON *request, sm_json *w);
} parts[] = {{"command", sm_page_command}, {"read", sm_page_read}, {"live", sm_page_live}, {"keys", sm_page_keys}};

static void answer(const cJSON *request, sm_json *w)
{
    const char *name = sm_page_text(request, "do");
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (strcmp(name, parts[i].name) == 0) {
            parts[i].answer(request, w);
            return;
        }
    sm_page_status(w, SM_USAGE);
}

void sm_page_call(const char *request, size_t length, sm_text *out)
{
    sm_json_doc doc = {0};
    sm_diag d = {0};
    sm_json w = {.out = out};
    const sm_status read = sm_json_doc_read(&doc, (sm_file_text){"request", request, length}, &d);
    sm_json_open(&w, NULL, SM_JSON_LINES);
    if (read == SM_OK)
        answer(doc.root, &w);
    else {
        sm_page_status(&w, read);
        sm_page_messages(&w, &d);
    }
    sm_json_close(&w);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&d);
}
