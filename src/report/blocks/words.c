/* words.c - numbers and names in plain words.
 *
 * Contents: 1. counts and numbers  2. natural frequencies  3. numbers of 100  4. values of a case  5. names
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sampling/dist.h"

/* 1. Counts and numbers */

void sm_words_count(sm_text *out, int64_t n)
{
    if (n >= 1000) {
        sm_words_count(out, n / 1000);
        sm_text_addf(out, ",%03d", (int)(n % 1000));
    } else
        sm_text_addf(out, "%d", (int)n);
}

void sm_words_number(sm_text *out, double x)
{
    enum { MOST = 7 };
    char digits[SM_NUMBER_SIZE];
    if (!isfinite(x))
        sm_text_puts(out, "not a number");
    else if (strlen(sm_number_write(x, digits)) <= MOST)
        sm_text_puts(out, digits);
    else
        sm_text_addf(out, "%.4g", x);
}

void sm_words_axis(sm_text *out, const char *words, const char *unit)
{
    sm_text_puts(out, words);
    if (strcmp(unit, "times") == 0)
        sm_text_puts(out, ", times what the case has");
    else if (unit[0] && strcmp(unit, "fraction") != 0)
        sm_text_addf(out, ", %s", unit);
}

void sm_words_mm(sm_text *out, double x)
{
    if (!isfinite(x))
        sm_text_puts(out, "?");
    else
        sm_text_addf(out, "%.1f", fabs(x) < 0.05 ? 0.0 : x);
}

double sm_mm_at_least(double x)
{
    return ceil(10 * x - 1e-6) / 10;
}

void sm_words_mm_at_least(sm_text *out, double x)
{
    sm_text_addf(out, "%.1f", sm_mm_at_least(x) + 0.0);
}

/* 2. Natural frequencies */

/* The largest denominator: beyond it nobody counts. */
#define LARGEST 1e9
/* If the interval is wider than this many of the denominator, it is printed instead of one number. */
#define WIDEST 6.0

/* If rounding moves a number by more than this share of it, another digit is told. */
#define ROUGH 0.2

/* The power of ten of which p, or what is missing from 1, is at least one; ten times that where one digit would be
 * rough (0.0015 is 15 of 10,000 and not 2 of 1,000) and the run knows the next. */
static double denominator_of(const sm_probability *p)
{
    double D = 100, rare = fmin(p->probability, 1 - p->probability);
    while (rare * D < 0.95 && D < LARGEST)
        D *= 10;
    const bool rough = fabs(nearbyint(rare * D) - rare * D) > ROUGH * rare * D;
    return rough && (p->high - p->low) * 10 * D <= WIDEST && D < LARGEST ? 10 * D : D;
}

/* The power of ten of which the interval is a few. */
static double range_denominator_of(const sm_probability *p)
{
    double D = 100;
    while ((p->high - p->low) * D < 2 && D < LARGEST)
        D *= 10;
    return D;
}

/* Whether the interval at D is so wide that it must be stated. */
static bool is_range(const sm_probability *p, double D)
{
    return (p->high - p->low) * D > WIDEST;
}

/* "17<to>35 of 100" */
static void range_write(sm_text *out, const sm_probability *p, const char *to)
{
    const double D = range_denominator_of(p);
    sm_words_count(out, (int64_t)floor(p->low * D));
    sm_text_puts(out, to);
    sm_words_count(out, (int64_t)ceil(p->high * D));
    sm_text_puts(out, " of ");
    sm_words_count(out, (int64_t)D);
}

/* "25 of 100" */
static void single_write(sm_text *out, const sm_probability *p, double D)
{
    sm_words_count(out, llround(p->probability * D));
    sm_text_puts(out, " of ");
    sm_words_count(out, (int64_t)D);
}

static bool frequency_of(sm_text *out, const sm_probability *p, double D)
{
    if (is_range(p, D)) {
        sm_text_puts(out, "between ");
        range_write(out, p, " and ");
        return false;
    }
    sm_text_puts(out, "about ");
    single_write(out, p, D);
    return llround(p->probability * D) == 1;
}

/* 0 of n, or n of n: the rule of three. False if p is neither. */
static bool none_or_all(sm_text *out, const sm_probability *p, const char *fewer_than)
{
    if (p->n > 0 && p->k > 0 && p->k < p->n)
        return false;
    if (p->n <= 0) {
        sm_text_puts(out, "an unknown number");
        return true;
    }
    sm_text_addf(out, p->k == 0 ? "%s3 of " : "all but %s3 of ", fewer_than);
    sm_words_count(out, p->n);
    return true;
}

bool sm_words_frequency(sm_text *out, const sm_probability *p)
{
    return none_or_all(out, p, "fewer than ") ? false : frequency_of(out, p, denominator_of(p));
}

void sm_words_frequency_short(sm_text *out, const sm_probability *p)
{
    if (none_or_all(out, p, "<"))
        return;
    const double D = denominator_of(p);
    if (is_range(p, D))
        range_write(out, p, " to ");
    else
        single_write(out, p, D);
}

bool sm_words_frequency_beside(sm_text *out, const sm_probability *p, double line, double *denominator)
{
    *denominator = 0;
    if (none_or_all(out, p, "fewer than "))
        return false;
    double D = denominator_of(p);
    while (D < LARGEST && llround(p->probability * D) == llround(line * D) && (p->high - p->low) * D <= 1)
        D *= 10;
    *denominator = D;
    return frequency_of(out, p, D);
}

void sm_words_line(sm_text *out, double line, double denominator)
{
    double D = denominator > 0 ? denominator : 100;
    while (D < LARGEST && fabs(line * D - nearbyint(line * D)) > 1e-9 * D)
        D *= 10;
    sm_words_count(out, llround(line * D));
    sm_text_puts(out, " of ");
    sm_words_count(out, (int64_t)D);
}

/* 3. Numbers of 100 */

enum { MOST_DECIMALS = 7 };

int sm_words_decimals_of_use(double x, double width, int least)
{
    const double known = ceil(-log10(width)), two_digits = x != 0 ? 1 - floor(log10(fabs(x))) : MOST_DECIMALS;
    return (int)fmin(MOST_DECIMALS, fmax(0, fmin(known, fmax(least, two_digits))));
}

int sm_words_decimals(const sm_probability *p)
{
    const double width = 100 * (p->high - p->low), rarer = 100 * fmin(p->probability, 1 - p->probability);
    return width > 0 ? sm_words_decimals_of_use(rarer, width, 1) : 1;
}

void sm_words_of_100(sm_text *out, const sm_probability *p)
{
    const int decimals = sm_words_decimals(p);
    const double least = pow(10, -decimals);
    if (p->n > 0 && p->k == 0) /* the rule of three: never a bare 0 */
        sm_text_addf(out, "<%.1g", 300.0 / (double)p->n);
    else if (100 * p->probability < least / 2)
        sm_text_addf(out, "<%.*f", decimals, least);
    else
        sm_text_addf(out, "%.*f", decimals, 100 * p->probability);
}

void sm_words_error(sm_text *out, double error)
{
    char digits[32];
    const int written = snprintf(digits, sizeof digits, "%.0e", error); /* "3e-02": rounded, so that 0.096 is 0.1 */
    const char *exponent = written > 0 ? strchr(digits, 'e') : NULL;
    const int decimals = exponent && error > 0 ? -atoi(exponent + 1) : 0;
    sm_text_addf(out, "+-%.*f", decimals < 0 ? 0 : decimals > 9 ? 9 : decimals, error);
}

void sm_words_own_error(sm_text *out, const sm_probability *p)
{
    sm_words_error(out, 100 * fmax(p->high - p->probability, p->probability - p->low));
}

/* 4. Values of a case */

/* Each family in words; %0 to %3 stand for its parameters, %u for the unit. */
static const char *family_words(sm_family f)
{
    static const char *const words[SM_FAMILY_COUNT] = {
        [SM_CONSTANT] = "%0%u",
        [SM_NORMAL] = "%0, SD %1%u",
        [SM_UNIFORM] = "%0 to %1%u",
        [SM_TRIANGULAR] = "%0 to %2, most likely %1%u",
        [SM_LOGNORMAL] = "median %0%u, times or divided by %1",
        [SM_HALF_NORMAL] = "0 and more, SD scale %0%u",
        [SM_STUDENT_T] = "%0, scale %1%u (t, %2 degrees of freedom)",
        [SM_ARCSINE] = "%0 to %1%u, mostly at the ends",
        [SM_TRUNCATED_NORMAL] = "%0, SD %1, cut to %2 to %3%u",
        [SM_BETA] = "%2 to %3%u (beta, a %0, b %1)",
    };
    return words[f];
}

static void unit_write(sm_text *out, const char *unit)
{
    if (strcmp(unit, "fraction") == 0)
        sm_text_puts(out, " (fraction)");
    else if (unit[0])
        sm_text_addf(out, " %s", unit);
}

static void dist_write(sm_text *out, const sm_dist *d, const char *unit)
{
    for (const char *s = family_words(d->family); *s; s++)
        if (*s != '%')
            sm_text_putn(out, s, 1);
        else if (*++s == 'u')
            unit_write(out, unit);
        else
            sm_words_number(out, d->p[*s - '0']);
}

/* "energy_integrating" with '_' as a space. */
static void plain_write(sm_text *out, const char *plain)
{
    for (const char *s = plain; *s; s++)
        sm_text_putn(out, *s == '_' ? " " : s, 1);
}

/* "0, 120, 240 degrees" */
static void list_write(sm_text *out, const sm_datum *v, const char *unit)
{
    char digits[SM_NUMBER_SIZE];
    for (size_t i = 0; i < v->list.n; i++)
        sm_text_addf(out, "%s%s", i ? ", " : "", sm_number_write(v->list.x[i], digits));
    unit_write(out, unit);
}

/* "[0, 1], [0.4, 0.9], [1, 1.1] ..."; a straight frame by its name. */
static void points_write(sm_text *out, const sm_datum *v, const char *unit)
{
    char digits[SM_NUMBER_SIZE];
    const double *x = v->list.x;
    if (v->list.n == 2 && x[0] == 0 && x[1] == 1 && x[2] == 1 && x[3] == 1) {
        sm_text_puts(out, "straight");
        return;
    }
    for (size_t i = 0; i < v->list.n; i++) {
        sm_text_addf(out, "%s[%s, ", i ? ", " : "", sm_number_write(x[2 * i], digits));
        sm_text_addf(out, "%s]", sm_number_write(x[2 * i + 1], digits));
    }
    unit_write(out, unit);
}

/* Lengths to a hundredth of a millimetre if more than three decimals are known: nobody reads finer. */
void sm_words_amount(sm_text *out, double x, const char *unit)
{
    const double thousandths = 1000 * x;
    if (strcmp(unit, "probability") == 0)
        sm_words_line(out, x, 0);
    else if (strcmp(unit, "mm") == 0 && fabs(x) >= 0.1 && fabs(thousandths - nearbyint(thousandths)) > 1e-6)
        sm_text_addf(out, "%.2f mm", x);
    else if (strcmp(unit, "edges") == 0 && fabs(x) == 1)
        sm_text_addf(out, "%.0f edge", x);
    else {
        sm_words_number(out, x);
        unit_write(out, unit);
    }
}

void sm_words_value(sm_text *out, const sm_datum *v, const char *unit)
{
    switch (v->kind) {
    case SM_DATUM_NONE:
        sm_text_puts(out, "not stated");
        break;
    case SM_DATUM_NUMBER:
        sm_words_amount(out, v->number, unit);
        break;
    case SM_DATUM_TRUTH:
        sm_text_puts(out, v->truth ? "yes" : "no");
        break;
    case SM_DATUM_DIST:
        dist_write(out, &v->dist, unit);
        break;
    case SM_DATUM_LIST:
        list_write(out, v, unit);
        break;
    case SM_DATUM_POINTS:
        points_write(out, v, unit);
        break;
    case SM_DATUM_WORD:
    case SM_DATUM_OBJECT:
        plain_write(out, v->plain);
        break;
    }
}

void sm_words_limit(sm_text *out, const sm_dist *limit)
{
    if (sm_dist_is_constant(limit))
        sm_words_number(out, sm_dist_mean(limit));
    else
        dist_write(out, limit, "");
}

void sm_words_of_100_plain(sm_text *out, double p)
{
    const double x = 100 * p;
    if (x < 0.05)
        sm_text_puts(out, "below 0.1");
    else if (x > 99.95)
        sm_text_puts(out, "above 99.9");
    else
        sm_text_addf(out, "%.*f", x < 0.95 || x > 99.05 ? 1 : 0, x);
}

void sm_words_range(sm_text *out, double low, double high)
{
    sm_words_of_100_plain(out, low);
    if (100 * high < 0.05 || 100 * low > 99.95)
        return;
    sm_text_puts(out, " to ");
    sm_words_of_100_plain(out, high);
}

/* 5. Names */

void sm_words_side(sm_text *out, const char *name)
{
    for (; *name; name++)
        sm_text_putn(out, *name == '_' ? " " : name, 1);
}

const char *sm_words_quantity(sm_quantity_id q)
{
    static const char *const words[SM_QUANTITIES] = {"ostium height", "gap beside ostium", "junction height",
                                                     "gap at junction", "leaflet top"};
    return words[q];
}

const char *sm_words_modality(sm_modality m)
{
    static const char *const words[] = {
        [SM_FLUOROSCOPY] = "fluoroscopy", [SM_ECHO] = "echo", [SM_BENCH] = "bench value", [SM_CT] = "another CT scan"};
    return words[m];
}

void sm_words_of_source(sm_text *out, const char *source, const char *words)
{
    size_t side = 0;
    if (!words || sm_source_named(source, &side) == SM_SOURCE_NONE) {
        sm_text_puts(out, source);
        return;
    }
    for (; *words; words++)
        if (*words != '*')
            sm_text_putn(out, words, 1);
        else
            for (size_t i = 0; i < side; i++)
                sm_text_putn(out, source[i] == '_' ? " " : &source[i], 1);
}

void sm_words_source(sm_text *out, const char *source)
{
    sm_words_of_source(out, source, sm_source_table[sm_source_named(source, NULL)].words);
}

void sm_words_change(sm_text *out, double share)
{
    if (share < 0.005)
        sm_text_puts(out, "fewer than 1 of 100");
    else if (share < 0.095)
        sm_text_addf(out, "%.0f of 100", 100 * share);
    else
        sm_text_addf(out, "%.0f of 10", 10 * share);
}
