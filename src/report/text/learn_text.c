/* learn_text.c - what a reader study taught, in words and then in tables.
 *
 * Contents: 1. numbers  2. plain words  3. what cannot be told  4. spread  5. readers and pairs
 *           6. correlations and limits  7. odd cells  8. text
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/learn_text.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/blocks/cautions.h"

typedef struct {
    const sm_reader_study *study;
    size_t q;
    const sm_learned *l;
    const sm_style *style;
    sm_text *out;
} page;

/* 1. Numbers */

#define NUMBER_SIZE 96

/* Decimals that a value deserves: the half width of its interval keeps one or two digits. Between 1 and 3, mm. */
static int decimals(double half_width)
{
    return half_width >= 0.5 || !isfinite(half_width) ? 1 : half_width >= 0.05 ? 2 : 3;
}

/* -0.00 becomes 0.00. */
static double no_minus_zero(double x, int places)
{
    return fabs(x) < 0.5 * pow(10.0, -places) ? 0.0 : x;
}

/* "0.31 (0.10 to 0.52)"; "not told" for NaN. */
static const char *with_interval(sm_ci95 c, char out[NUMBER_SIZE])
{
    int p = decimals(0.5 * (c.high - c.low));
    if (!isfinite(c.value))
        snprintf(out, NUMBER_SIZE, "not told");
    else if (!isfinite(c.low) || !isfinite(c.high))
        snprintf(out, NUMBER_SIZE, "%.*f", p, no_minus_zero(c.value, p));
    else
        snprintf(out, NUMBER_SIZE, "%.*f (%.*f to %.*f)", p, no_minus_zero(c.value, p), p, no_minus_zero(c.low, p), p,
                 no_minus_zero(c.high, p));
    return out;
}

/* Millimetres in a sentence: one decimal, and never "0.0". */
static const char *millimetres(double mm, char out[NUMBER_SIZE])
{
    if (mm < 0.05)
        snprintf(out, NUMBER_SIZE, "less than 0.1 mm");
    else
        snprintf(out, NUMBER_SIZE, "%.1f mm", mm);
    return out;
}

/* Two readings with this SD each differ by no more than this in 95 of 100 pairs. */
static double difference_95(double sd)
{
    return SM_Z95 * sqrt(2.0) * sd;
}

/* "ostium gap", "STJ gap" */
static void put_words(sm_text *out, const char *name)
{
    if (strncmp(name, "stj_", 4) == 0) {
        sm_text_puts(out, "STJ ");
        name += 4;
    }
    for (; *name; name++)
        sm_text_putn(out, *name == '_' ? " " : name, 1);
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

static void put_paragraph(const page *g, sm_text *words)
{
    sm_layout_words(g->out, g->style, 2, 2, words);
}

#define NAME_SIZE 80 /* names are at most 64 bytes (study/study_csv.c) */

/* A name as it can be shown. */
static const char *shown(const page *g, const char *name, char out[NAME_SIZE])
{
    sm_text t = {0};
    sm_layout_safe(&t, g->style, name);
    snprintf(out, NAME_SIZE, "%s", sm_text_string(&t));
    sm_text_done(&t, g->out);
    return out;
}

static const char *reader_name(const page *g, size_t id, char out[NAME_SIZE])
{
    return shown(g, g->study->reader_name[id], out);
}

/* 2. Plain words */

static void say_readers(const page *g)
{
    const sm_learned *l = g->l;
    char mm[NUMBER_SIZE];
    sm_text w = {0};
    sm_text_puts(&w, "Two readers of the ");
    put_words(&w, g->study->quantity[g->q].name);
    sm_text_addf(&w, " differ by up to %s in 95 of 100 scans", millimetres(difference_95(l->total_sd.value), mm));
    if (isfinite(l->repeat_sd.value)) {
        double share = 100.0 * pow(l->repeat_sd.value / l->total_sd.value, 2.0);
        sm_text_addf(&w, "; %.0f %% of that is one reader against another, %.0f %% is the same reader on another day",
                     100.0 - round(share), round(share));
    }
    sm_text_puts(&w, ".");
    put_paragraph(g, &w);
}

static void say_repeats(const page *g)
{
    char mm[NUMBER_SIZE];
    sm_text w = {0};
    if (!isfinite(g->l->repeat_sd.value))
        return;
    sm_text_addf(
        &w, "The same reader, reading a scan again, differs from the first reading by up to %s in 95 of 100 scans.",
        millimetres(difference_95(g->l->repeat_sd.value), mm));
    put_paragraph(g, &w);
}

/* Fewer degrees of freedom than a case needs. They are not told where readers agree to the last digit. */
static void add_few_dof(sm_text *w, double found)
{
    if (isfinite(found))
        sm_text_addf(w, "it gives %.1f degrees of freedom, fewer than the 3 that a case needs", found);
    else
        sm_text_puts(w, "it cannot tell the degrees of freedom, and a case needs at least 3");
}

static void say_for_planning(const page *g)
{
    const sm_learned *l = g->l;
    char sd[NUMBER_SIZE];
    sm_text w = {0};
    sm_text_addf(&w, "For planning: one reading by one reader has an SD of %s mm", with_interval(l->total_sd, sd));
    if (!l->reml.converged) {
        sm_text_puts(&w, "."); /* degrees of freedom of a fit that did not settle mean nothing */
    } else if (l->too_small) {
        sm_text_puts(&w, ". The study is TOO SMALL for this quantity: ");
        add_few_dof(&w, l->dof_found);
        sm_text_puts(&w, "; 3 are used. More readers help most.");
    } else {
        sm_text_addf(&w, ". A later case takes it as known from %.0f readings of one thing (%.0f degrees of freedom).",
                     l->dof + 1.0, l->dof);
    }
    put_paragraph(g, &w);
}

/* Only offsets that are sure: the interval leaves 0 out. */
static void say_offsets(const page *g)
{
    const sm_learned *l = g->l;
    char name[NAME_SIZE];
    for (size_t j = 0; l->offset && j < l->readers; j++) {
        sm_ci95 o = l->offset[j];
        if (!(o.low > 0.0 || o.high < 0.0) || fabs(o.value) < 0.05)
            continue;
        sm_text w = {0};
        sm_text_addf(&w, "Reader %s reads on average %.1f mm %s than the mean of the readers.",
                     reader_name(g, l->reader_id[j], name), fabs(o.value), o.value > 0.0 ? "more" : "less");
        put_paragraph(g, &w);
    }
}

/* 3. What cannot be told */

static void say(const page *g, const char *words)
{
    sm_layout_wrap(g->out, g->style, 2, 2, words);
}

static void say_nothing_learned(const page *g)
{
    if (g->l->reml.told[SM_VC_REPEAT])
        say(g, "Nothing can be learned: the readings show no spread beyond that of the cases. Were values copied?");
    else
        say(g, "Too little to learn from. What a reading is worth can be told only where two readers read the same two "
               "or more cases, or where "
               "one reader read a case twice.");
}

static void say_what_is_missing(const page *g)
{
    const sm_reml *r = &g->l->reml;
    if (!r->told[SM_VC_READER])
        say(g, g->l->readers < 2 ? "Only one reader: how readers differ cannot be told, so this quantity gives no "
                                   "entry for a site profile."
                                 : "No case was read by two readers: how readers differ cannot be told, so this "
                                   "quantity gives no entry for a "
                                   "site profile.");
    if (r->repeat_holds_reader_case)
        say(g, "Nobody read a case twice: what one reader would differ from day to day cannot be told apart and is "
               "counted as "
               "between readers, so that more readings by the same reader promise nothing.");
    else if (r->told[SM_VC_READER] && !r->told[SM_VC_READER_CASE])
        say(g, "A reader's own way with a single case cannot be told apart from the reader's general habit.");
    if (!r->told[SM_VC_CASE])
        say(g, "Only one case: the readers are compared on it alone.");
    if (!r->converged)
        say(g, "WARNING: the fit did not settle. Do not use these numbers; they give no entry for a site profile.");
    for (int c = 0; c < SM_VCS; c++)
        if (r->told[c] && !(r->variance[c] > 0.0)) {
            sm_text w = {0};
            sm_text_addf(&w, "The %s component came out as 0%s.",
                         c == SM_VC_READER_CASE ? "reader-within-case" : sm_vc_name((sm_vc)c),
                         g->l->anova.variance[c] < 0.0
                             ? " (the analysis of variance gives a negative value, which is set to 0)"
                             : "");
            put_paragraph(g, &w);
        }
}

/* 4. Spread */

static void put_heading(const page *g, const char *words)
{
    sm_text_addf(g->out, "\n  %s\n", words);
    if (g->style->plain)
        return;
    sm_text_puts(g->out, "  ");
    for (size_t i = sm_layout_columns(words); i > 0; i--)
        sm_text_puts(g->out, g->style->utf8 ? "─" : "-");
    sm_text_puts(g->out, "\n");
}

/* At least one space after s. */
static void put_cell(const page *g, const char *s, size_t width)
{
    sm_layout_left(g->out, s, width);
    if (sm_layout_columns(s) >= width)
        sm_text_puts(g->out, " ");
}

/* A row of a table; in plain style a line that can be read aloud. */
static void put_row(const page *g, const char *label, const char *number, const char *note)
{
    if (g->style->plain) {
        sm_text_addf(g->out, "    %s: %s%s%s\n", label, number, note[0] ? "; " : "", note);
        return;
    }
    sm_text_puts(g->out, "    ");
    put_cell(g, label, 34);
    if (note[0])
        put_cell(g, number, 24);
    else
        sm_text_puts(g->out, number);
    sm_text_addf(g->out, "%s\n", note);
}

static void put_spread(const page *g)
{
    static const char *const label[SM_VCS] = {"the cases themselves", "one reader against another",
                                              "a reader's own way with a case", "the same reader again"};
    const sm_learned *l = g->l;
    char number[NUMBER_SIZE], note[NUMBER_SIZE];
    put_heading(g, "Where the spread comes from: SD in mm (95 % interval)");
    for (int c = 0; c < SM_VCS; c++) {
        note[0] = '\0';
        if (l->anova.balanced && isfinite(l->anova.variance[c]))
            snprintf(note, sizeof note, l->anova.variance[c] < 0.0 ? "ANOVA below 0" : "ANOVA %.2f",
                     sqrt(fmax(0.0, l->anova.variance[c])));
        put_row(g, c == SM_VC_REPEAT && l->reml.repeat_holds_reader_case ? "reader's own way and repeat" : label[c],
                with_interval(l->component_sd[c], number), note);
    }
    put_row(g, "between readers, together", with_interval(l->between_sd, number), "");
    put_row(g, "one reading by one reader", with_interval(l->total_sd, number), "");
}

/* 5. Readers and pairs */

static void put_offsets(const page *g)
{
    char number[NUMBER_SIZE], name[NAME_SIZE];
    if (!g->l->offset)
        return;
    put_heading(g, "Each reader, less the mean of the readers: mm (95 % interval)");
    for (size_t j = 0; j < g->l->readers; j++)
        put_row(g, reader_name(g, g->l->reader_id[j], name), with_interval(g->l->offset[j], number), "");
}

static void say_trend(const page *g, const char *what, double slope, double p)
{
    if (!(p < 0.05))
        return;
    sm_text w = {0};
    sm_text_addf(&w, "%s by %+.2f mm for each mm of size (p %s%.3f).", what, slope, p < 0.001 ? "< " : "= ",
                 fmax(p, 0.001));
    sm_layout_words(g->out, g->style, 6, 6, &w);
}

static void put_pair(const page *g, const sm_learned_pair *p)
{
    char first[NAME_SIZE], second[NAME_SIZE], bias[NUMBER_SIZE], lower[NUMBER_SIZE], upper[NUMBER_SIZE];
    const sm_agreement *a = &p->agreement;
    with_interval(a->bias, bias);
    with_interval(a->lower, lower);
    with_interval(a->upper, upper);
    sm_text_addf(g->out, "    %s less %s, %zu cases\n", reader_name(g, p->first, first),
                 reader_name(g, p->second, second), a->n);
    if (g->style->plain)
        sm_text_addf(g->out, "      mean difference: %s\n      95 of 100 lie from: %s\n      to: %s\n", bias, lower,
                     upper);
    else {
        sm_text_puts(g->out, "      ");
        put_cell(g, bias, 25);
        put_cell(g, lower, 25);
        sm_text_addf(g->out, "%s\n", upper);
    }
    say_trend(g, "The difference changes", a->bias_slope, a->bias_slope_p);
    say_trend(g, "The spread of the difference changes", a->spread_slope, a->spread_slope_p);
}

static void put_pairs(const page *g)
{
    if (g->l->n_pairs == 0)
        return;
    put_heading(g, "Pairs of readers, single readings: mm (95 % interval)");
    if (!g->style->plain) {
        sm_text_puts(g->out, "      ");
        put_cell(g, "mean difference", 25);
        put_cell(g, "95 of 100 lie from", 25);
        sm_text_puts(g->out, "to\n");
    }
    for (size_t i = 0; i < g->l->n_pairs; i++)
        put_pair(g, &g->l->pair[i]);
}

/* 6. Correlations and limits */

static void put_icc(const page *g)
{
    static const char *const label[SM_ICCS] = {"(1,1) other readers each case",
                                               "(2,1) any readers",
                                               "(3,1) these readers, less offset",
                                               "(1,k) the same, mean of all",
                                               "(2,k)",
                                               "(3,k)"};
    const sm_learned *l = g->l;
    char heading[NUMBER_SIZE], number[NUMBER_SIZE];
    if (!l->has_icc) {
        say(g, "Intraclass correlations need at least two cases that every reader read.");
        return;
    }
    snprintf(heading, sizeof heading, "Intraclass correlation, first readings of %zu cases by %zu readers",
             l->icc.cases, l->icc.readers);
    put_heading(g, heading);
    for (int f = 0; f < SM_ICCS; f++) {
        sm_ci95 c = l->icc.form[f];
        c.low = fmax(c.low, 0.0);
        put_row(g, label[f],
                c.value >= 0.0 && c.value <= 1.0 ? with_interval(c, number) : "below 0: no case stands out", "");
    }
}

static void put_limit(const page *g, const char *label, double sd, double limit)
{
    char number[NUMBER_SIZE], note[NUMBER_SIZE];
    if (!isfinite(sd))
        return;
    snprintf(number, sizeof number, "SD %.2f", sd);
    snprintf(note, sizeof note, "limit %.1f (2.8 SD)", limit);
    put_row(g, label, number, note);
}

static void put_iso(const page *g)
{
    const sm_iso5725 *i = &g->l->iso;
    if (!isfinite(i->s_big_r))
        return;
    put_heading(g, "As in ISO 5725-2: mm");
    put_limit(g, "repeatability", i->s_r, i->r_limit);
    put_limit(g, "reproducibility", i->s_big_r, i->big_r_limit);
}

/* 7. Odd cells */

static void put_odd(const page *g)
{
    enum { MOST = 10 };
    const sm_learned *l = g->l;
    char name[NAME_SIZE], reader[NAME_SIZE];
    if (l->n_odd == 0)
        return;
    put_heading(g, "Worth a second look (nothing was left out)");
    for (size_t i = 0; i < l->n_odd && i < MOST; i++) {
        const sm_learned_odd *o = &l->odd[i];
        bool spread = o->cell.kind == SM_ODD_SPREAD;
        sm_text w = {0};
        sm_text_addf(&w, "case %s, reader %s: %s (%s %.2f, p %s%.3f)", shown(g, g->study->case_name[o->case_id], name),
                     reader_name(g, o->reader_id, reader),
                     spread ? "the repeats differ far more than others" : "the reading does not fit with the others",
                     spread ? "Cochran" : "Grubbs", o->cell.statistic, o->cell.p < 0.001 ? "< " : "= ",
                     fmax(0.001, o->cell.p));
        sm_layout_words(g->out, g->style, 4, 4, &w);
    }
    if (l->n_odd > MOST)
        sm_text_addf(g->out, "    and %zu more (all in --json)\n", l->n_odd - MOST);
}

/* 8. Text */

static void put_title(const page *g)
{
    sm_text title = {0};
    put_words(&title, g->study->quantity[g->q].name);
    if (title.s)
        title.s[0] = (char)toupper((unsigned char)title.s[0]);
    sm_text_addf(&title, ": %zu case%s, %zu reader%s, %zu reading%s", g->l->cases, plural(g->l->cases), g->l->readers,
                 plural(g->l->readers), g->l->readings, plural(g->l->readings));
    sm_text_addf(g->out, "%s\n", sm_text_string(&title));
    sm_text_done(&title, g->out);
}

static void put_plain_words(const page *g)
{
    put_title(g);
    if (!g->l->has_spread) {
        say_nothing_learned(g);
        return;
    }
    if (g->l->reml.told[SM_VC_READER])
        say_readers(g);
    say_repeats(g);
    if (g->l->reml.told[SM_VC_READER])
        say_for_planning(g);
    say_offsets(g);
    say_what_is_missing(g);
}

/* Three readers are two degrees of freedom, and no method makes more of them. */
static void say_how_sure(const page *g)
{
    sm_text_puts(g->out, "\n");
    sm_layout_wrap(
        g->out, g->style, 0, 0,
        "The 95 % intervals of the SDs hold the truth about 95 times in 100, with few readers too "
        "(docs/learn.md). With two or three readers their upper ends lie far off: so few hardly tell how "
        "different readers can be, however many cases they read. More readers bring the upper ends down. ANOVA: "
        "the same SD by the classical analysis of variance, to compare with papers. Intraclass correlation: the "
        "share of the spread of readings that is the cases themselves; 1 would be readers who never differ.");
}

static void put_tables(const page *g)
{
    sm_text_puts(g->out, "\n\n");
    put_title(g);
    put_spread(g);
    put_offsets(g);
    put_pairs(g);
    put_icc(g);
    put_iso(g);
    put_odd(g);
}

static void put_brief(page *g, const sm_learned *learned)
{
    for (g->q = 0; g->q < g->study->n_quantities; g->q++) {
        g->l = &learned[g->q];
        if (g->l->has_spread && g->l->reml.told[SM_VC_READER])
            say_readers(g);
    }
    sm_layout_wrap(g->out, g->style, 0, 0, sm_caution_short());
}

void sm_learn_text_write(const sm_reader_study *study, const sm_learned *learned, const sm_style *style, bool brief,
                         sm_text *out)
{
    page g = {.study = study, .style = style, .out = out};
    if (brief) {
        put_brief(&g, learned);
        return;
    }
    for (g.q = 0; g.q < study->n_quantities; g.q++) {
        g.l = &learned[g.q];
        sm_text_puts(out, g.q > 0 ? "\n" : "");
        put_plain_words(&g);
    }
    for (g.q = 0; g.q < study->n_quantities; g.q++) {
        g.l = &learned[g.q];
        if (g.l->has_spread)
            put_tables(&g);
    }
    say_how_sure(&g);
    sm_text_puts(out, "\n");
    sm_layout_wrap(out, style, 0, 0, sm_cautions());
}

void sm_learn_source_write(const sm_learned *l, const char *study_name, sm_text *out)
{
    sm_text_addf(out, "reader study %.100s: %zu case%s, %zu reader%s, %zu readings", study_name, l->cases,
                 plural(l->cases), l->readers, plural(l->readers), l->readings);
    if (l->reml.repeat_holds_reader_case)
        sm_text_puts(out, "; no repeats, all spread taken as between readers");
    if (l->too_small && isfinite(l->dof_found))
        sm_text_addf(out, "; too small: %.1f degrees of freedom found, 3 used", l->dof_found);
    else if (l->too_small)
        sm_text_puts(out, "; too small: degrees of freedom not told, 3 used");
}
