/* answer.c - what a person typed, or put into a cell, as JSON.
 *
 * Contents: 1. numbers  2. spreads  3. readings and looks  4. words  5. one key  6. alternatives  7. any answer
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "format/json_doc.h"
#include "format/json_write.h"
#include "newcase/questions.h"

/* 1. Numbers */

enum { NUMBER_LENGTH = 40 };

/* The plain decimal number of n bytes at s; NULL if it is one, else what is wrong with it. */
static const char *number_read(const char *s, size_t n, sm_decimals decimals, double *out)
{
    char plain[NUMBER_LENGTH + 1];
    size_t digits = 0, marks = 0;
    if (n == 0 || n > NUMBER_LENGTH)
        return "is not a number";
    for (size_t i = 0; i < n; i++) {
        plain[i] = s[i] == ',' ? '.' : s[i];
        digits += isdigit((unsigned char)s[i]) != 0;
        marks += plain[i] == '.';
        if (s[i] == ',' && decimals == SM_DECIMAL_POINT)
            return "has a comma: write a decimal point, as in 9.4, and part several readings by ;";
        if (!isdigit((unsigned char)s[i]) && plain[i] != '.' && !(i == 0 && strchr("+-", s[i])))
            return "is not a number: write digits and a decimal point only, without a unit";
    }
    if (marks > 1 || digits == 0)
        return "is not a number";
    plain[n] = '\0';
    *out = strtod(plain, NULL);
    return NULL;
}

/* Reads one number at *s and steps over it and the blanks behind it. */
static bool number_next(const char **s, sm_decimals decimals, double *out, sm_text *wrong)
{
    const size_t n = strcspn(*s, " \t;");
    const char *words = number_read(*s, n, decimals, out);
    if (words) {
        sm_text_addf(wrong, "\"%.*s\" %s", (int)(n < NUMBER_LENGTH ? n : NUMBER_LENGTH), *s, words);
        return false;
    }
    *s += n + strspn(*s + n, " \t");
    return true;
}

/* 2. Spreads */

/* Steps over `word` and the blanks behind it. */
static bool word_next(const char **s, const char *word)
{
    const size_t n = strlen(word);
    if (strncmp(*s, word, n) != 0)
        return false;
    *s += n + strspn(*s + n, " \t,");
    return true;
}

static void family_write(sm_text *json, const char *family, const char *const *name, const double *x, size_t n)
{
    sm_json w = {.out = json};
    sm_json_open(&w, NULL, SM_JSON_LINE);
    sm_json_open(&w, family, SM_JSON_LINE);
    for (size_t i = 0; i < n; i++)
        sm_json_number(&w, name[i], x[i]);
    sm_json_close(&w);
    sm_json_close(&w);
}

/* sd: x is a mean and its SD; range: two ends, and, if likely, what lies between; else one number. */
static void spread_write(sm_text *json, const double x[3], bool sd, bool range, bool likely)
{
    static const char *const normal[] = {"mean", "sd"}, *const uniform[] = {"min", "max"},
                             *const triangular[] = {"min", "max", "mode"};
    sm_json w = {.out = json};
    if (sd)
        family_write(json, "normal", normal, x, 2);
    else if (likely)
        family_write(json, "triangular", triangular, x, 3);
    else if (range)
        family_write(json, "uniform", uniform, x, 2);
    else
        sm_json_number(&w, NULL, x[0]);
}

/* "4", "4 +- 1", "3 to 5", "3 to 5 likely 4". */
static bool spread_read(const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    double x[3];
    if (!number_next(&s, decimals, &x[0], wrong))
        return false;
    const bool sd = word_next(&s, "+-"), range = !sd && word_next(&s, "to");
    if ((sd || range) && !number_next(&s, decimals, &x[1], wrong))
        return false;
    const bool likely = range && word_next(&s, "likely");
    if (likely && !number_next(&s, decimals, &x[2], wrong))
        return false;
    if (*s) {
        sm_text_addf(wrong, "\"%s\" is too much: one number, 4 +- 1, 3 to 5, or 3 to 5 likely 4", s);
        return false;
    }
    spread_write(json, x, sd, range, likely);
    return true;
}

/* 3. Readings and looks */

static cJSON *reader_row(cJSON *readings, const char *name)
{
    cJSON *row = cJSON_GetObjectItemCaseSensitive(readings, name);
    return row ? row : cJSON_AddArrayToObject(readings, name);
}

/* "B:" at *s begins the readings of reader B. False if it is too long for a name. */
static bool reader_next(const char **s, char name[SM_NAME_SIZE])
{
    const size_t n = strcspn(*s, " \t;:");
    if ((*s)[n] != ':' || n == 0 || !isalpha((unsigned char)**s) || n >= SM_NAME_SIZE)
        return false;
    memcpy(name, *s, n);
    name[n] = '\0';
    *s += n + 1 + strspn(*s + n + 1, " \t");
    return true;
}

/* "9.1; 9.4; B: 9.9" into readings; those before any name are of reader A. */
static bool readings_fill(const char *s, sm_decimals decimals, cJSON *readings, sm_text *wrong)
{
    char name[SM_NAME_SIZE] = "A";
    for (s += strspn(s, " \t;"); *s; s += strspn(s, " \t;")) {
        if (reader_next(&s, name))
            continue;
        double x;
        if (!number_next(&s, decimals, &x, wrong))
            return false;
        cJSON *row = reader_row(readings, name), *number = cJSON_CreateNumber(x);
        if (!row || !number || !cJSON_AddItemToArray(row, number)) {
            cJSON_Delete(number);
            wrong->failed = true;
            return false;
        }
    }
    if (readings->child)
        return true;
    sm_text_puts(wrong, "there is no number in it");
    return false;
}

static bool readings_read(const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    cJSON *full = cJSON_CreateObject();
    cJSON *readings = cJSON_AddObjectToObject(full, "readings_mm");
    bool ok = readings && readings_fill(s, decimals, readings, wrong);
    wrong->failed |= !readings;
    if (ok)
        sm_json_doc_write(full, json);
    cJSON_Delete(full);
    return ok;
}

/* By what a look was made, said before its readings: steps over that word. A gap is looked at on angiography if
 * nothing is said; NULL if a direct look does not say it. */
static const char *modality_next(const char **s, bool gap)
{
    static const struct {
        const char *typed, *modality;
        bool gap, direct;
    } ways[] = {{"echo", "echo", true, true},
                {"fluoroscopy", "fluoroscopy", true, false},
                {"angiography", "fluoroscopy", true, false},
                {"bench", "bench", false, true},
                {"ct", "ct", false, true}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if ((gap ? ways[i].gap : ways[i].direct) && word_next(s, ways[i].typed))
            return ways[i].modality;
    return gap ? "fluoroscopy" : NULL;
}

/* Where "sd 0.3" begins at the end of s; its end if there is none. */
static size_t sd_at(const char *s)
{
    for (size_t i = 0; s[i]; i++)
        if (strncmp(s + i, "sd ", 3) == 0 && (i == 0 || strchr(" \t;", s[i - 1])))
            return i;
    return strlen(s);
}

/* "sd 0.3" into the look; nothing is no fault. */
static bool sd_fill(const char *s, sm_decimals decimals, cJSON *look, sm_text *wrong)
{
    double sd;
    if (!word_next(&s, "sd"))
        return true;
    if (!number_next(&s, decimals, &sd, wrong))
        return false;
    if (*s)
        sm_text_addf(wrong, "\"%s\" is too much after the SD", s);
    wrong->failed |= !cJSON_AddNumberToObject(look, "reader_sd_mm", sd);
    return !wrong->len && !wrong->failed;
}

static bool look_fill(cJSON *look, bool gap, const char *s, sm_decimals decimals, sm_text *wrong)
{
    const char *modality = modality_next(&s, gap);
    const size_t sd = sd_at(s);
    if (!gap && (!modality || !s[sd])) {
        sm_text_puts(wrong, "write by what it was measured, the readings and their SD: bench 21.2 sd 0.3, echo 0.9 sd "
                            "0.2 or ct 12.1 sd 0.8");
        return false;
    }
    char *typed = sm_string_copyn(s, sd);
    cJSON *named = cJSON_AddStringToObject(look, "modality", modality);
    cJSON *readings = cJSON_AddObjectToObject(look, "readings_mm");
    const bool made = typed && named && readings;
    wrong->failed |= !made;
    const bool ok = made && readings_fill(typed, decimals, readings, wrong) && sd_fill(s + sd, decimals, look, wrong);
    free(typed);
    return ok;
}

/* "6.6; B: 6.9" on angiography, or after a word that says by what; "sd 0.3" may follow. */
static bool look_read(const sm_key *key, const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    const sm_quantity_kind *kind = sm_keys_quantity(key->name);
    cJSON *look = cJSON_CreateObject();
    const bool ok = look && look_fill(look, kind && sm_keys_is_gap(kind), s, decimals, wrong);
    wrong->failed |= !look;
    if (ok)
        sm_json_doc_write(look, json);
    cJSON_Delete(look);
    return ok;
}

/* 4. Words */

static void string_write(const char *s, sm_text *json)
{
    sm_json w = {.out = json};
    sm_json_string(&w, NULL, s);
}

/* The choice that the typed letters begin, in any case; what was typed if there is no or more than one. */
static void choice_read(const sm_key *key, const char *s, sm_text *json)
{
    const char *only = NULL;
    size_t hits = 0, n = strlen(s);
    for (const sm_key_word *c = key->choice; c->name; c++) {
        size_t same = 0;
        while (same < n && tolower((unsigned char)s[same]) == c->name[same])
            same++;
        if (same == n && n > 0) {
            hits++;
            only = c->name;
        }
    }
    string_write(hits == 1 ? only : s, json);
}

static bool is_word(const char *s, const char *word)
{
    size_t i = 0;
    while (word[i] && tolower((unsigned char)s[i]) == word[i])
        i++;
    return !s[i] && (i == 1 || !word[i]);
}

/* yes, y, no, n; what stands for each in `json_of`. */
static bool truth_read(const char *s, const char *const json_of[2], sm_text *json, sm_text *wrong)
{
    const bool yes = is_word(s, "yes") || strcmp(s, "true") == 0, no = is_word(s, "no") || strcmp(s, "false") == 0;
    if (yes || no)
        sm_text_puts(json, json_of[yes]);
    else
        sm_text_addf(wrong, "\"%s\" is neither yes nor no", s);
    return yes || no;
}

/* Names with blanks between them: an object with every required key of each blank. */
static bool sides_read(const char *s, sm_text *json, sm_text *wrong)
{
    sm_json w = {.out = json};
    const size_t n = strcspn(s, "\"\\{}");
    if (s[n] || !s[0]) {
        sm_text_puts(wrong, "write names of letters, digits, _ and -, with blanks between them");
        return false;
    }
    sm_json_open(&w, NULL, SM_JSON_LINES);
    while (*s) {
        const size_t length = strcspn(s, " \t,;");
        char *name = sm_string_copyn(s, length);
        sm_json_open(&w, name ? name : "", SM_JSON_LINES);
        for (size_t i = 0; i < sm_keys_coronary.n; i++)
            if (sm_keys_coronary.key[i].flags & SM_KEY_REQUIRED)
                sm_json_null(&w, sm_keys_coronary.key[i].name);
        sm_json_close(&w);
        json->failed |= !name;
        free(name);
        s += length + strspn(s + length, " \t,;");
    }
    sm_json_close(&w);
    return true;
}

/* 5. One key */

/* JSON that was typed as such must be JSON. */
static bool json_read(const char *s, sm_text *json, sm_text *wrong)
{
    sm_json_doc doc;
    sm_diag d = {0};
    const sm_status status = sm_json_doc_read(&doc, (sm_file_text){"answer", s, strlen(s)}, &d);
    if (status == SM_OK)
        sm_json_doc_write(doc.root, json);
    else
        sm_text_puts(wrong, d.n ? d.item[0].words : "out of memory");
    wrong->failed |= status == SM_NO_MEMORY;
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&d);
    return status == SM_OK;
}

static bool quantity_read(const sm_key *key, const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    const sm_quantity_kind *quantity = sm_keys_quantity(key->name);
    const bool bare_is_reading = quantity && quantity->bare_is_reading;
    if (word_next(&s, "read") || (bare_is_reading && !strstr(s, "+-") && !strstr(s, " to ")))
        return readings_read(s, decimals, json, wrong);
    if (!bare_is_reading)
        return spread_read(s, decimals, json, wrong);
    sm_text_puts(wrong, "write the readings alone: the errors of readers are added by the program");
    return false;
}

static bool key_read(const sm_key *key, const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    static const char *const truth[2] = {"false", "true"};
    switch (key->kind) {
    case SM_KEY_TEXT:
        string_write(s, json);
        return true;
    case SM_KEY_CHOICE:
        choice_read(key, s, json);
        return true;
    case SM_KEY_TRUTH:
        return truth_read(s, truth, json, wrong);
    case SM_KEY_QUANTITY:
        return quantity_read(key, s, decimals, json, wrong);
    case SM_KEY_POST_AZIMUTH:
        if (strcmp(s, "unknown") == 0) {
            string_write(s, json);
            return true;
        }
        return spread_read(s, decimals, json, wrong);
    default:
        return spread_read(s, decimals, json, wrong);
    }
}

/* 6. Alternatives */

/* A copy of n bytes without the blanks around them; NULL without memory. */
static char *trimmed_copy(const char *s, size_t n)
{
    while (n > 0 && strchr(" \t", *s)) {
        s++;
        n--;
    }
    while (n > 0 && strchr(" \t", s[n - 1]))
        n--;
    return sm_string_copyn(s, n);
}

/* Parses the JSON of a value and puts it into object[group][name], or object[name] without a group. */
static void member_put(cJSON *object, const char *group, const char *name, const sm_text *json, sm_text *wrong)
{
    cJSON *into = group ? cJSON_GetObjectItemCaseSensitive(object, group) : object;
    cJSON *value = json->failed ? NULL : cJSON_Parse(sm_text_string(json));
    if (!into)
        into = cJSON_AddObjectToObject(object, group);
    if (cJSON_GetObjectItemCaseSensitive(into, name))
        sm_text_addf(wrong, "%s stands twice", name);
    else if (into && value && cJSON_AddItemToObject(into, name, value))
        return;
    else
        wrong->failed = true;
    cJSON_Delete(value);
}

/* "rescue left 0.9": a side and a probability. */
static bool side_part_read(cJSON *object, const char *what, const char *s, sm_decimals decimals, sm_text *wrong)
{
    sm_text json = {0};
    const size_t n = strcspn(s, " \t");
    char *side = sm_string_copyn(s, n);
    wrong->failed |= !side;
    bool ok = side != NULL;
    if (ok && (n == 0 || !s[n])) {
        sm_text_addf(wrong, "after %s a coronary and the probability of success are needed, as in %s left 0.9", what,
                     what);
        ok = false;
    }
    ok = ok && spread_read(s + n + strspn(s + n, " \t"), decimals, &json, wrong);
    if (ok)
        member_put(object, what, side, &json, wrong);
    free(side);
    wrong->failed |= json.failed;
    sm_text_destroy(&json);
    return ok && !wrong->len;
}

/* "nominal_diameter_mm 23": a key of the new or the surgical valve. */
static bool patch_read(cJSON *object, const char *name, const char *s, sm_decimals decimals, sm_text *wrong)
{
    sm_text json = {0};
    const sm_key *key = sm_keys_find(&sm_keys_implant, name);
    const char *group = key ? "implant" : "surgical_valve";
    key = key ? key : sm_keys_find(&sm_keys_valve, name);
    if (!key) {
        sm_text_addf(
            wrong,
            "\"%s\" is nothing that an alternative does: write rescue, lacerate, burden, or a key of the new or the "
            "surgical valve, each with its value, and ; between them",
            name);
        return false;
    }
    const bool ok = key_read(key, s, decimals, &json, wrong);
    if (ok)
        member_put(object, group, name, &json, wrong);
    wrong->failed |= json.failed;
    sm_text_destroy(&json);
    return ok && !wrong->len;
}

static bool part_read(cJSON *object, const char *s, sm_decimals decimals, sm_text *wrong)
{
    const size_t n = strcspn(s, " \t");
    char *name = sm_string_copyn(s, n);
    sm_text json = {0};
    bool ok = false;
    s += n + strspn(s + n, " \t");
    wrong->failed |= !name;
    if (name && (strcmp(name, "rescue") == 0 || strcmp(name, "lacerate") == 0))
        ok = side_part_read(object, name, s, decimals, wrong);
    else if (name && strcmp(name, "burden") == 0) {
        ok = spread_read(s, decimals, &json, wrong);
        if (ok)
            member_put(object, NULL, name, &json, wrong);
    } else if (name)
        ok = patch_read(object, name, s, decimals, wrong);
    free(name);
    wrong->failed |= json.failed;
    sm_text_destroy(&json);
    return ok && !wrong->len;
}

/* "smaller: nominal_diameter_mm 23; burden 0.02" */
static bool alternative_read(cJSON *list, const char *s, size_t length, sm_decimals decimals, sm_text *wrong)
{
    const char *colon = memchr(s, ':', length);
    char *name = colon ? trimmed_copy(s, (size_t)(colon - s)) : NULL;
    cJSON *object = cJSON_CreateObject();
    bool ok = colon && name && object && cJSON_AddStringToObject(object, "name", name);
    if (!colon)
        sm_text_puts(wrong, "write a name, a colon, and what is done: wire: rescue left 0.9; burden 0.02");
    else
        wrong->failed |= !ok;
    for (const char *at = colon ? colon + 1 : s, *end = s + length; ok && at <= end;) {
        const char *stop = memchr(at, ';', (size_t)(end - at));
        stop = stop ? stop : end;
        char *part = trimmed_copy(at, (size_t)(stop - at));
        wrong->failed |= !part;
        ok = part && (!part[0] || part_read(object, part, decimals, wrong));
        free(part);
        at = stop + 1;
    }
    free(name);
    if (ok && cJSON_AddItemToArray(list, object))
        return true;
    cJSON_Delete(object);
    return false;
}

/* Several are parted by |. */
static bool alternatives_read(const char *s, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    cJSON *list = cJSON_CreateArray();
    bool ok = list != NULL;
    wrong->failed |= !list;
    while (ok && *s) {
        const size_t n = strcspn(s, "|");
        ok = alternative_read(list, s, n, decimals, wrong);
        s += n + (s[n] == '|');
    }
    if (ok && !list->child) {
        sm_text_puts(wrong, "there is no alternative in it");
        ok = false;
    }
    if (ok)
        sm_json_doc_write(list, json);
    cJSON_Delete(list);
    return ok;
}

/* 7. Any answer */

bool sm_answer_read(const sm_question *q, const char *typed, sm_decimals decimals, sm_text *json, sm_text *wrong)
{
    static const char *const edge[2] = {"0", "-1"};
    size_t n;
    typed += strspn(typed, " \t");
    for (n = strlen(typed); n > 0 && strchr(" \t\r\n", typed[n - 1]);)
        n--;
    char *s = sm_string_copyn(typed, n);
    bool ok = s != NULL;
    wrong->failed |= !s;
    if (ok && q->key->kind != SM_KEY_TEXT && (s[0] == '{' || s[0] == '['))
        ok = json_read(s, json, wrong);
    else if (ok && q->kind == SM_QUESTION_SIDES)
        ok = sides_read(s, json, wrong);
    else if (ok && q->kind == SM_QUESTION_EDGE)
        ok = truth_read(s, edge, json, wrong);
    else if (ok && q->kind == SM_QUESTION_LOOK)
        ok = look_read(q->key, s, decimals, json, wrong);
    else if (ok && q->kind == SM_QUESTION_ALTERNATIVES)
        ok = alternatives_read(s, decimals, json, wrong);
    else if (ok)
        ok = key_read(q->key, s, decimals, json, wrong);
    free(s);
    return ok && !json->failed && !wrong->failed;
}
