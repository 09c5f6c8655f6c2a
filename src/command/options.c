/* options.c - the options that every command shares, and what a command line said.
 *
 * Contents: 1. whole numbers  2. one option  3. the command line  4. help
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/options.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "base/shown.h"
#include "casefile/keys.h"
#include "engine/run_context.h"
#include "report/blocks/layout.h"
#include "report/blocks/words.h"

#define OPTION_NAME(id, name, argument, how, member, words)     name,
#define OPTION_ARGUMENT(id, name, argument, how, member, words) argument,
#define OPTION_WORDS(id, name, argument, how, member, words)    words,
#define OPTION_TARGET(id, name, argument, how, member, words)   {how, offsetof(sm_options, member)},
static const char *const names[] = {SM_OPTION_LIST(OPTION_NAME)};
static const char *const arguments[] = {SM_OPTION_LIST(OPTION_ARGUMENT)};
static const char *const meanings[] = {SM_OPTION_LIST(OPTION_WORDS)};
static const struct {
    enum { FLAG, WORD, WHOLE, VARY, ASKED } how;
    size_t member;
} targets[] = {SM_OPTION_LIST(OPTION_TARGET)};
static const sm_options defaults = {.trials = SM_DEFAULT_TRIALS, .seed = SM_DEFAULT_SEED, .cap = SM_DEFAULT_CAP};

/* 1. Whole numbers */

/* Digits, with commas only if they part groups of three. Returns what follows them; NULL if it is not a number.
 */
static const char *read_digits(const char *s, uint64_t *out, int *n_digits)
{
    uint64_t value = 0;
    int digits = 0, since_comma = -1;
    for (; (*s >= '0' && *s <= '9') || *s == ','; s++) {
        if (*s == ',') {
            if (digits == 0 || (since_comma < 0 ? digits > 3 : since_comma != 3))
                return NULL;
            since_comma = 0;
            continue;
        }
        unsigned d = (unsigned)(*s - '0');
        if (value > (UINT64_MAX - d) / 10)
            return NULL;
        value = 10 * value + d;
        digits++;
        since_comma += since_comma >= 0;
    }
    *out = value;
    *n_digits = digits;
    return digits > 0 && (since_comma < 0 || since_comma == 3) ? s : NULL;
}

/* The power of ten at s ("e6"), which must end there; -1 if it is none. */
static int read_exponent(const char *s)
{
    if (*s != 'e' && *s != 'E')
        return *s ? -1 : 0;
    s += s[1] == '+' ? 2 : 1;
    size_t n = strspn(s, "0123456789");
    return n >= 1 && n <= 2 && !s[n] ? atoi(s) : -1;
}

/* value times 10^power; false if that is no whole number below 2^64. */
static bool scale(uint64_t *value, int power)
{
    for (; power > 0; power--) {
        if (*value > UINT64_MAX / 10)
            return false;
        *value *= 10;
    }
    for (; power < 0; power++) {
        if (*value % 10 != 0)
            return false;
        *value /= 10;
    }
    return true;
}

bool sm_options_whole(const char *s, uint64_t low, uint64_t high, uint64_t *out)
{
    uint64_t value, after = 0;
    int digits, decimals = 0;
    s = read_digits(s, &value, &digits);
    if (s && *s == '.') {
        s = strchr(s, ',') ? NULL : read_digits(s + 1, &after, &decimals);
        if (s && (!scale(&value, decimals) || value > UINT64_MAX - after))
            return false;
        value += after;
    }
    const int exponent = s ? read_exponent(s) : -1;
    if (exponent < 0 || !scale(&value, exponent - decimals))
        return false;
    *out = value;
    return value >= low && value <= high;
}

/* 2. One option */

static void complain_whole(sm_text *complaints, int i, const char *value, const char *expected)
{
    sm_text_addf(complaints, "%s ", names[i]);
    sm_text_shown(complaints, value);
    sm_text_addf(complaints, ": expected a whole number %s\n", expected);
}

static void take_whole(sm_options *o, int i, const char *value, sm_text *complaints)
{
    const bool seed = i == SM_OPTION_INDEX_SEED, threads = i == SM_OPTION_INDEX_THREADS;
    const uint64_t low = seed ? 0 : 1, high = seed ? UINT64_MAX : threads ? SM_MAX_THREADS : (uint64_t)SM_MOST_TRIALS;
    uint64_t n;
    if (!sm_options_whole(value, low, high, &n)) {
        complain_whole(complaints, i, value,
                       seed      ? "from 0 to 18446744073709551615"
                       : threads ? "from 1 to 256"
                                 : "from 1 to 1e12, such as 1000000, 1,000,000 or 1e6");
        return;
    }
    if (seed)
        o->seed = n;
    else if (threads)
        o->threads = (int)n;
    else
        *(i == SM_OPTION_INDEX_CAP ? &o->cap : &o->trials) = (int64_t)n;
}

static void take_vary(sm_options *o, const char *value, sm_text *complaints)
{
    if (o->n_vary == SM_MAX_VARY)
        sm_text_puts(complaints, "--vary: takes one or two, not more\n");
    else
        o->vary[o->n_vary++] = value;
}

static void take(sm_options *o, int i, const char *value, sm_text *complaints)
{
    void *member = (char *)o + targets[i].member;
    o->given |= 1U << i;
    switch (targets[i].how) {
    case FLAG:
        *(bool *)member = true;
        break;
    case WORD:
        *(const char **)member = value;
        break;
    case WHOLE:
        take_whole(o, i, value, complaints);
        break;
    case VARY:
        take_vary(o, value, complaints);
        break;
    case ASKED:
        break;
    }
}

/* 3. The command line */

/* The option that s names, up to its end or to '='; -1 if none. */
static int option_named(const char *s)
{
    size_t n = strcspn(s, "=");
    for (int i = 0; i < SM_OPTION_COUNT; i++)
        if (strlen(names[i]) == n && strncmp(names[i], s, n) == 0)
            return i;
    return strcmp(s, "-h") == 0 ? SM_OPTION_INDEX_HELP : -1;
}

static void complain_unknown(sm_text *complaints, const char *s)
{
    sm_text name = {0};
    sm_text_putn(&name, s, strcspn(s, "="));
    const char *near = name.failed ? NULL : sm_keys_nearest(name.s, names, SM_OPTION_COUNT);
    sm_text_shown(complaints, sm_text_string(&name));
    sm_text_addf(complaints, ": no option has this name%s%s%s\n", near ? "; did you mean " : "", near ? near : "",
                 near ? "?" : "");
    sm_text_done(&name, complaints);
}

/* Takes the option at argv[at]; returns how many places it took. */
static int read_option(const char *command, unsigned uses, int argc, char *const *argv, int at, sm_options *o,
                       sm_text *complaints)
{
    const char *s = argv[at], *value = strchr(s, '=');
    const int i = option_named(s);
    if (i < 0) {
        complain_unknown(complaints, s);
        return 1;
    }
    const bool takes_value = arguments[i] != NULL, apart = takes_value && !value;
    const bool missing = apart && at + 1 >= argc;
    if (!(uses >> i & 1))
        sm_text_addf(complaints, "%s: %s makes no use of this option\n", names[i], command);
    else if (missing)
        sm_text_addf(complaints, "%s: %s is missing after it\n", names[i], arguments[i]);
    else if (value && !takes_value)
        sm_text_addf(complaints, "%s: takes no value\n", names[i]);
    else
        take(o, i, value ? value + 1 : takes_value ? argv[at + 1] : NULL, complaints);
    return apart && !missing ? 2 : 1;
}

/* What no option can know by itself. */
static void check_together(sm_options *o, sm_text *complaints)
{
    if (o->points && strcmp(o->points, "plain") != 0 && strcmp(o->points, "sharp") != 0) {
        sm_text_puts(complaints, "--points ");
        sm_text_shown(complaints, o->points);
        sm_text_puts(complaints, ": expected plain or sharp\n");
    }
    if ((o->given & SM_OPTION_CAP) && !o->until_resolved)
        sm_text_puts(complaints, "--cap: has a meaning only with --until-resolved\n");
    if (o->until_resolved && o->cap < o->trials) {
        if ((o->given & SM_OPTION_CAP) && (o->given & SM_OPTION_TRIALS))
            sm_text_puts(complaints, "--cap: must not be below --trials\n");
        else if (o->given & SM_OPTION_CAP)
            o->trials = o->cap;
        else
            o->cap = o->trials;
    }
}

sm_status sm_options_read(const char *command, unsigned uses, int argc, char *const *argv, int first, sm_options *out,
                          sm_text *complaints)
{
    bool options_end = false;
    *out = defaults;
    for (int at = first; at < argc;) {
        const char *s = argv[at];
        if (!options_end && strcmp(s, "--") == 0) {
            options_end = true;
            at++;
        } else if (!options_end && s[0] == '-' && s[1])
            at += read_option(command, uses | SM_OPTIONS_ALWAYS, argc, argv, at, out, complaints);
        else {
            if (out->n_arguments == SM_MAX_ARGUMENTS) {
                sm_text_shown(complaints, s);
                sm_text_puts(complaints, ": too many names on the command line\n");
            } else
                out->argument[out->n_arguments++] = s;
            at++;
        }
    }
    check_together(out, complaints);
    return complaints->failed ? SM_NO_MEMORY : complaints->len > 0 ? SM_USAGE : SM_OK;
}

/* 4. Help */

/* What option i does, with its default in the place of @. */
static void add_meaning(int i, sm_text *out)
{
    const char *words = meanings[i];
    const size_t n = strcspn(words, "@");
    sm_text_putn(out, words, n);
    if (words[n]) {
        sm_words_count(out, *(const int64_t *)((const char *)&defaults + targets[i].member));
        sm_text_puts(out, words + n + 1);
    }
}

void sm_options_help(unsigned uses, sm_text *out)
{
    static const sm_style style = {.width = 80};
    enum { NAME = 22 };
    for (int i = 0; i < SM_OPTION_COUNT; i++) {
        sm_text name = {0}, meaning = {0}, words = {0};
        if (!((uses | SM_OPTIONS_ALWAYS) >> i & 1))
            continue;
        sm_text_addf(&name, "  %s%s%s", names[i], arguments[i] ? " " : "", arguments[i] ? arguments[i] : "");
        sm_layout_left(out, sm_text_string(&name), NAME);
        add_meaning(i, &meaning);
        sm_layout_wrap(&words, &style, NAME, NAME, sm_text_string(&meaning));
        sm_text_puts(out, words.s ? words.s + NAME : "\n");
        sm_text_done(&name, out);
        sm_text_done(&meaning, out);
        sm_text_done(&words, out);
    }
}
