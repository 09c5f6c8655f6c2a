/* json_scan.c - is this text strict JSON, and where does each value stand?
 *
 * Contents: 1. faults  2. bytes: size and UTF-8  3. strings  4. numbers and words  5. values  6. the scan
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/json_scan.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/utf8.h"

typedef struct {
    const char *name;
    const unsigned char *s;
    size_t n, at;
    size_t depth;
    unsigned char open[SM_JSON_DEPTH_LIMIT]; /* '{' or '[' of each level */
    size_t key;                              /* offset of the key whose value comes next */
    sm_json_spots *spots;
    sm_diag *diag;
    bool no_memory;
} scanner;

/* What may come next. */
typedef enum { WANT_VALUE, WANT_FIRST_KEY, WANT_KEY, WANT_FIRST_ITEM, WANT_NEXT, AT_END } want;

/* 1. Faults */

void sm_json_locate(const char *text, size_t offset, size_t *line, size_t *column)
{
    *line = 1;
    *column = 1;
    for (size_t i = 0; i < offset; i++) {
        ++*column;
        if (text[i] == '\n') {
            ++*line;
            *column = 1;
        }
    }
}

/* Says in words what stands at offset `at`. */
static void found_write(const scanner *s, size_t at, sm_text *out)
{
    if (at >= s->n)
        sm_text_puts(out, "the end of the file");
    else if (s->s[at] < 0x20 || s->s[at] == 0x7f)
        sm_text_addf(out, "the control character 0x%02X", s->s[at]);
    else {
        size_t end = at + 1;
        while (end < s->n && sm_utf8_continues((char)s->s[end]))
            end++;
        sm_text_puts(out, "the character ");
        sm_text_putn(out, (const char *)s->s + at, end - at);
    }
}

/* Adds the one fault of this scan; returns false so that a caller can pass it on. */
static bool refuse(scanner *s, size_t at, const char *expected)
{
    sm_place place = {.file = s->name};
    sm_json_locate((const char *)s->s, at < s->n ? at : s->n, &place.line, &place.column);
    sm_text found = {0};
    found_write(s, at, &found);
    sm_diag_add(s->diag, SM_FAULT, place, "found %s, expected %s%s", found.s ? found.s : "it", expected,
                at >= s->n ? ": the file seems to be cut short" : "");
    s->no_memory |= found.failed;
    sm_text_destroy(&found);
    return false;
}

/* The same if a single character does not say what was found. */
static bool refuse_found(scanner *s, size_t at, const char *found, const char *expected)
{
    sm_place place = {.file = s->name};
    sm_json_locate((const char *)s->s, at, &place.line, &place.column);
    sm_diag_add(s->diag, SM_FAULT, place, "found %s, expected %s", found, expected);
    return false;
}

/* 2. Bytes: size and UTF-8 */

static bool scan_bytes(scanner *s)
{
    if (s->n > SM_JSON_SIZE_LIMIT) {
        sm_diag_add(s->diag, SM_FAULT, (sm_place){.file = s->name},
                    "found a file of %zu bytes, expected at most 4 MB (%zu bytes)", s->n, SM_JSON_SIZE_LIMIT);
        return false;
    }
    const size_t at = sm_utf8_check((const char *)s->s, s->n);
    if (at == s->n)
        return true;
    if (s->s[at] == 0)
        return refuse_found(s, at, "a zero byte", "text (a JSON file in UTF-8)");
    static const char hex[] = "0123456789ABCDEF";
    char found[64] = "the byte 0x00, which is not UTF-8";
    found[11] = hex[s->s[at] >> 4];
    found[12] = hex[s->s[at] & 15];
    return refuse_found(s, at, found, "text in UTF-8");
}

/* 3. Strings */

static bool hex4(const scanner *s, size_t at, unsigned *code)
{
    *code = 0;
    for (size_t i = at; i < at + 4; i++) {
        unsigned c = i < s->n ? s->s[i] : 0;
        unsigned digit = c >= '0' && c <= '9' ? c - '0' : (c | 32) >= 'a' && (c | 32) <= 'f' ? (c | 32) - 'a' + 10 : 16;
        if (digit > 15)
            return false;
        *code = *code * 16 + digit;
    }
    return true;
}

/* The part after \u. A zero would cut the text short in C, half a pair is no character. */
static bool scan_unicode_escape(scanner *s)
{
    size_t start = s->at - 2;
    unsigned code, low;
    if (!hex4(s, s->at, &code))
        return refuse_found(s, start, "\\u without four hexadecimal digits", "four, as in \\u00E9");
    s->at += 4;
    if (code == 0)
        return refuse_found(s, start, "\\u0000", "no zero character in a text");
    if (code < 0xD800 || code > 0xDFFF)
        return true;
    bool pair = code < 0xDC00 && s->at + 6 <= s->n && s->s[s->at] == '\\' && s->s[s->at + 1] == 'u' &&
                hex4(s, s->at + 2, &low) && low >= 0xDC00 && low <= 0xDFFF;
    if (!pair)
        return refuse_found(s, start, "half of a pair of \\u escapes", "both halves");
    s->at += 6;
    return true;
}

/* A string; s->at stands on its opening quote. */
static bool scan_string(scanner *s)
{
    for (s->at++; s->at < s->n; s->at++) {
        unsigned char c = s->s[s->at];
        if (c == '"') {
            s->at++;
            return true;
        }
        if (c < 0x20)
            return refuse(s, s->at, "the closing quote \" of the text (a line break is written \\n)");
        if (c != '\\')
            continue;
        s->at++;
        if (s->at < s->n && s->s[s->at] == 'u') {
            s->at++;
            if (!scan_unicode_escape(s))
                return false;
            s->at--;
        } else if (s->at >= s->n || !strchr("\"\\/bfnrt", s->s[s->at]))
            return refuse(s, s->at, "one of \" \\ / b f n r t u after a backslash");
    }
    return refuse(s, s->n, "the closing quote \" of a text");
}

/* 4. Numbers and words */

static bool is_digit(const scanner *s)
{
    return s->at < s->n && s->s[s->at] >= '0' && s->s[s->at] <= '9';
}

static bool scan_digits(scanner *s, const char *expected)
{
    if (!is_digit(s))
        return refuse(s, s->at, expected);
    while (is_digit(s))
        s->at++;
    return true;
}

static bool scan_number(scanner *s)
{
    size_t start = s->at;
    if (s->s[s->at] == '-')
        s->at++;
    bool zero = s->at < s->n && s->s[s->at] == '0';
    if (!scan_digits(s, "a digit after the minus sign"))
        return false;
    if (zero && s->at > start + 1 + (s->s[start] == '-'))
        return refuse_found(s, start, "a number that begins with 0 and another digit",
                            "a number without leading zeros");
    if (s->at < s->n && s->s[s->at] == '.') {
        s->at++;
        if (!scan_digits(s, "a digit after the decimal point"))
            return false;
    }
    if (s->at < s->n && (s->s[s->at] | 32) == 'e') {
        s->at++;
        if (s->at < s->n && (s->s[s->at] == '+' || s->s[s->at] == '-'))
            s->at++;
        if (!scan_digits(s, "a digit in the exponent"))
            return false;
    }
    if (s->at - start > SM_JSON_NUMBER_LIMIT)
        return refuse_found(s, start, "a number of more than 60 characters", "at most 60");
    return true;
}

static bool scan_word(scanner *s)
{
    static const char *const words[] = {"true", "false", "null"};
    for (size_t i = 0; i < 3; i++) {
        size_t len = strlen(words[i]);
        if (s->n - s->at >= len && memcmp(s->s + s->at, words[i], len) == 0) {
            s->at += len;
            return true;
        }
    }
    unsigned char c = s->s[s->at];
    if (c == '\'')
        return refuse(s, s->at, "a value (text stands in double quotes \")");
    if (c == '+' || c == '.')
        return refuse(s, s->at, "a value (a number begins with a digit or a minus sign)");
    if (c == '/' || c == '#')
        return refuse(s, s->at, "a value (JSON has no comments; use the key \"note\")");
    if (c == ',' || c == '}' || c == ']')
        return refuse(s, s->at, "a value (is there a comma too many?)");
    return refuse(s, s->at, "a value: a number, a text in double quotes, {, [, true, false or null");
}

/* 5. Values */

static bool note_spot(scanner *s)
{
    sm_json_spots *p = s->spots;
    sm_json_spot *grown = sm_grow(p->spot, p->n, &p->cap, 256, sizeof *grown);
    if (!grown) {
        s->no_memory = true;
        return false;
    }
    p->spot = grown;
    p->spot[p->n++] = (sm_json_spot){.key = s->key, .value = s->at};
    s->key = SM_JSON_NOWHERE;
    return true;
}

static void skip_space(scanner *s)
{
    while (s->at < s->n && (s->s[s->at] == ' ' || s->s[s->at] == '\t' || s->s[s->at] == '\n' || s->s[s->at] == '\r'))
        s->at++;
}

static bool scan_open(scanner *s, want *next)
{
    if (s->depth == SM_JSON_DEPTH_LIMIT)
        return refuse_found(s, s->at, "brackets nested more than 64 deep", "at most 64");
    s->open[s->depth++] = s->s[s->at];
    *next = s->s[s->at++] == '{' ? WANT_FIRST_KEY : WANT_FIRST_ITEM;
    return true;
}

static bool scan_value(scanner *s, want *next)
{
    if (s->at >= s->n)
        return refuse(s, s->at, "a value");
    if (!note_spot(s))
        return false;
    unsigned char c = s->s[s->at];
    *next = WANT_NEXT;
    if (c == '{' || c == '[')
        return scan_open(s, next);
    if (c == '"')
        return scan_string(s);
    if (c == '-' || (c >= '0' && c <= '9'))
        return scan_number(s);
    return scan_word(s);
}

/* Where a key should begin stands what follows the comma in 22,4. */
static bool after_decimal_comma(const scanner *s)
{
    static const char digits[] = "0123456789";
    return s->at >= 2 && s->at < s->n && s->s[s->at - 1] == ',' && memchr(digits, s->s[s->at], 10) &&
           memchr(digits, s->s[s->at - 2], 10);
}

static bool scan_key(scanner *s, want *next)
{
    if (after_decimal_comma(s))
        return refuse(s, s->at,
                      "a decimal point in place of the comma before it (22.4, not 22,4), or a key in double quotes");
    if (s->at >= s->n || s->s[s->at] != '"')
        return refuse(s, s->at, "a key in double quotes \"");
    s->key = s->at;
    if (!scan_string(s))
        return false;
    skip_space(s);
    if (s->at >= s->n || s->s[s->at] != ':')
        return refuse(s, s->at, "a colon : after the key");
    s->at++;
    *next = WANT_VALUE;
    return true;
}

/* After a value: a comma, the closing bracket of its object or list, or the end. */
static bool scan_next(scanner *s, want *next)
{
    if (s->depth == 0) {
        *next = AT_END;
        return s->at >= s->n || refuse(s, s->at, "nothing after the end of the JSON value");
    }
    bool object = s->open[s->depth - 1] == '{';
    unsigned char c = s->at < s->n ? s->s[s->at] : 0;
    if (c == ',') {
        s->at++;
        *next = object ? WANT_KEY : WANT_VALUE;
        return true;
    }
    if (c == (object ? '}' : ']')) {
        s->at++;
        s->depth--;
        *next = WANT_NEXT;
        return true;
    }
    return refuse(s, s->at, object ? "a comma , or the closing brace }" : "a comma , or the closing bracket ]");
}

/* 6. The scan */

static bool scan_step(scanner *s, want *next)
{
    skip_space(s);
    unsigned char c = s->at < s->n ? s->s[s->at] : 0;
    switch (*next) {
    case WANT_FIRST_KEY:
        return c == '}' ? scan_next(s, next) : scan_key(s, next);
    case WANT_FIRST_ITEM:
        return c == ']' ? scan_next(s, next) : scan_value(s, next);
    case WANT_KEY:
        return scan_key(s, next);
    case WANT_VALUE:
        return scan_value(s, next);
    default:
        return scan_next(s, next);
    }
}

static bool scan_document(scanner *s)
{
    /* RFC 8259, section 8.1, allows a reader to pass over a byte order mark; some editors write one. */
    if (s->n >= 3 && memcmp(s->s, "\xEF\xBB\xBF", 3) == 0)
        s->at = 3;
    skip_space(s);
    if (s->at >= s->n)
        return refuse_found(s, 0, "an empty file", "a JSON object { }");
    for (want next = WANT_VALUE; next != AT_END;)
        if (!scan_step(s, &next))
            return false;
    return true;
}

sm_status sm_json_scan(sm_file_text file, sm_json_spots *spots, sm_diag *d)
{
    *spots = (sm_json_spots){0};
    scanner s = {.name = file.name,
                 .s = (const unsigned char *)(file.text ? file.text : ""),
                 .n = file.text ? file.length : 0,
                 .key = SM_JSON_NOWHERE,
                 .spots = spots,
                 .diag = d};
    bool ok = scan_bytes(&s) && scan_document(&s);
    if (s.no_memory || d->failed)
        return SM_NO_MEMORY;
    return ok ? SM_OK : SM_REFUSED;
}

void sm_json_spots_destroy(sm_json_spots *spots)
{
    free(spots->spot);
    *spots = (sm_json_spots){0};
}
