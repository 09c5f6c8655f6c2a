/* learn_text.c - what a reader study taught, in words and then in tables.
 *
 * Contents: 1. numbers and names  2. outlying readings  3. plain words  4. what the study cannot show  5. spread
 *           6. readers and pairs  7. correlations and limits  8. odd cells  9. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/learn_text.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/blocks/write.h"
#include "report/text/assumption_text.h"

/* 1. Numbers and names */

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
static void interval_words(sm_text *out, sm_ci95 c)
{
    const int p = decimals(0.5 * (c.high - c.low));
    if (!isfinite(c.value)) {
        sm_text_puts(out, "not told");
        return;
    }
    sm_text_addf(out, "%.*f", p, no_minus_zero(c.value, p));
    if (isfinite(c.low) && isfinite(c.high))
        sm_text_addf(out, " (%.*f to %.*f)", p, no_minus_zero(c.low, p), p, no_minus_zero(c.high, p));
}

/* Two readings with this SD each differ by no more than this in 95 of 100 pairs. Never "0.0 mm". */
static void difference_words(sm_text *out, double sd)
{
    const double mm = SM_Z95 * sqrt(2.0) * sd;
    sm_text_puts(out, " by up to ");
    sm_text_addf(out, mm < 0.05 ? "less than 0.1" : "%.1f", mm);
    sm_text_puts(out, " mm in 95 of 100 scans");
}

static void p_words(sm_text *out, double p)
{
    sm_text_addf(out, "p %s%.3f", p < 0.001 ? "< " : "= ", fmax(p, 0.001));
}

/* "ostium gap", "STJ gap" */
static void quantity_words(sm_text *out, const char *name)
{
    const bool stj = strncmp(name, "stj_", 4) == 0;
    sm_text_puts(out, stj ? "STJ " : "");
    sm_words_side(out, stj ? name + 4 : name);
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

static void count_words(sm_text *out, const sm_learned *l)
{
    sm_text_addf(out, "%zu case%s, %zu reader%s, %zu reading%s", l->cases, plural(l->cases), l->readers,
                 plural(l->readers), l->readings, plural(l->readings));
}

/* 2. Outlying readings */

/* " and B's other reading 9.2", "; others read 9.1, 9.3": with the values that it stands against. At most so many. */
enum { MOST_SHOWN = 12 };

static void list_values(sm_text *out, const sm_study_quantity *q, const sm_learned_odd *o, bool of_others)
{
    size_t shown = 0;
    for (size_t i = 0; i < q->n; i++) {
        const sm_study_reading *r = &q->reading[i];
        const bool other = r->reader_id != o->reader_id;
        if (r->case_id != o->case_id || i == o->suspect || other != of_others)
            continue;
        if (shown == MOST_SHOWN) {
            sm_text_puts(out, ", ...");
            return;
        }
        sm_text_puts(out, shown++ > 0 ? ", " : of_others ? "; others read " : "; again by the same reader ");
        sm_text_addf(out, "%.6g", r->mm);
    }
    if (shown == 0 && of_others)
        sm_text_puts(out, "; nobody else read this case");
}

void sm_learn_outlying_write(const sm_reader_study *s, size_t quantity, const sm_learned_odd *o, sm_text *out)
{
    const sm_study_quantity *q = &s->quantity[quantity];
    sm_text_puts(out, "reader ");
    sm_text_addf(out, "%s read the ", s->reader_name[o->reader_id]);
    quantity_words(out, q->name);
    sm_text_addf(out, " of case %s as %.6g mm", s->case_name[o->case_id], q->reading[o->suspect].mm);
    list_values(out, q, o, false);
    list_values(out, q, o, true);
}

static void outlying_item(sm_blocks *b, const sm_reader_study *s, size_t quantity, const sm_learned_odd *o)
{
    const sm_study_reading *r = &s->quantity[quantity].reading[o->suspect];
    sm_text *words = sm_block_words(b, SM_ITEM);
    if (r->file < s->n_files)
        sm_text_addf(words, "%s, line %zu: ", s->file_name[r->file], r->line);
    sm_learn_outlying_write(s, quantity, o, words);
    sm_text_puts(words, ".");
}

static void without_them(sm_blocks *b, const char *quantity, const sm_learned *l)
{
    if (!isfinite(l->sd_without))
        return;
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "One reading of the ");
    quantity_words(words, quantity);
    sm_text_addf(words, " has an SD of %.2f mm with %s and %.2f mm without.", l->total_sd.value,
                 l->n_outlying == 1 ? "it" : "them", l->sd_without);
}

/* Before all else: a number typed wrong makes every SD below larger. */
static void outlying(sm_blocks *b, const sm_reader_study *s, const sm_learned *learned, bool brief)
{
    size_t n = 0;
    for (size_t q = 0; q < s->n_quantities; q++)
        n += learned[q].n_outlying;
    if (n == 0)
        return;
    sm_text_addf(sm_block_words(b, brief ? SM_LEAD : SM_TITLE), "Look first at %s: typed wrong?",
                 n == 1 ? "this reading" : "these readings");
    for (size_t q = 0; q < s->n_quantities; q++) {
        for (size_t i = 0; i < learned[q].n_outlying; i++)
            outlying_item(b, s, q, &learned[q].outlying[i]);
        if (!brief && learned[q].n_outlying > 0)
            without_them(b, s->quantity[q].name, &learned[q]);
    }
    if (!brief)
        sm_block_say(b, SM_ITEM,
                     "If all is well, a study has such a reading of a quantity in 1 to 4 of 100. Look the scan up, "
                     "correct what was typed wrong and run again; a reading that is right stays, however far off. A "
                     "site profile is written with such readings only with --accept.");
}

/* 3. Plain words */

static void readers(sm_blocks *b, const char *quantity, const sm_learned *l)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "Two readers of the ");
    quantity_words(words, quantity);
    sm_text_puts(words, " differ");
    difference_words(words, l->total_sd.value);
    if (isfinite(l->repeat_sd.value) && l->total_sd.value > 5e-4) { /* of nothing there are no shares */
        const double share = round(100.0 * pow(l->repeat_sd.value / l->total_sd.value, 2.0));
        sm_text_addf(words, "; %.0f %% of that lies between readers, %.0f %% is the same reader on another day",
                     100.0 - share, share);
    }
    sm_text_puts(words, ".");
    if (!l->reml.converged)
        sm_text_puts(words, " WARNING: the fit did not settle. Do not use these numbers.");
    else if (l->too_small)
        sm_text_puts(words, " The study is TOO SMALL for this quantity.");
}

static void repeats(sm_blocks *b, const sm_learned *l)
{
    if (!isfinite(l->repeat_sd.value))
        return;
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "The same reader, reading a scan again, differs from the first reading");
    difference_words(words, l->repeat_sd.value);
    sm_text_puts(words, ".");
}

/* Fewer degrees of freedom than a case needs. They are left out if readers agree to the last digit. */
static void few_dof(sm_text *out, double found)
{
    if (isfinite(found))
        sm_text_addf(out, "it gives %.1f degrees of freedom, fewer than the 3 that a case needs", found);
    else
        sm_text_puts(out, "it cannot tell the degrees of freedom, and a case needs at least 3");
}

static void for_planning(sm_blocks *b, const sm_learned *l)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "For planning: one reading by one reader has an SD of ");
    interval_words(words, l->total_sd);
    sm_text_puts(words, " mm.");
    if (!l->reml.converged)
        return; /* degrees of freedom of a fit that did not settle mean nothing */
    if (l->too_small) {
        sm_text_puts(words, " The study is TOO SMALL for this quantity: ");
        few_dof(words, l->dof_found);
        sm_text_puts(words, "; 3 are used. More readers help most.");
    } else
        sm_text_addf(words,
                     " A later case takes it as known from %.0f readings of one thing (%.0f degrees of freedom).",
                     l->dof + 1.0, l->dof);
}

/* Only offsets that are sure: the interval leaves 0 out. */
static void sure_offsets(sm_blocks *b, const sm_reader_study *s, const sm_learned *l)
{
    for (size_t j = 0; l->offset && j < l->readers; j++) {
        const sm_ci95 o = l->offset[j];
        if ((o.low > 0.0 || o.high < 0.0) && fabs(o.value) >= 0.05)
            sm_text_addf(sm_block_words(b, SM_ITEM),
                         "Reader %s reads on average %.1f mm %s than the mean of the readers.",
                         s->reader_name[l->reader_id[j]], fabs(o.value), o.value > 0.0 ? "more" : "less");
    }
}

/* 4. What the study cannot show */

static const char *nothing_learned(const sm_learned *l)
{
    return l->reml.told[SM_VC_REPEAT]
               ? "Nothing can be learned: the readings show no spread beyond that of the cases. Were values copied?"
               : "Too little to learn from. What a reading is worth can be told only if two readers read the same "
                 "two or more cases, or if one reader read a case twice.";
}

/* ": the study allows up to 0.42 mm"; nothing if the interval has no upper end above 0. */
static void allowed(sm_text *out, sm_ci95 sd)
{
    if (sd.high > 0.0 && isfinite(sd.high))
        sm_text_addf(out, " The study allows an SD of up to %.*f mm.", decimals(sd.high), sd.high);
}

static bool is_0(const sm_learned *l, sm_vc c)
{
    return l->reml.told[c] && !(l->reml.variance[c] > 0.0);
}

static const char *set_to_0(const sm_learned *l, sm_vc c)
{
    return l->anova.variance[c] < 0.0 ? " (the analysis of variance gives a negative value, which is set to 0)" : "";
}

/* What lies between readers are their habits and their ways with single cases; one of the two, or both, at 0. */
static void between_of_0(sm_blocks *b, const sm_learned *l)
{
    const sm_reml *r = &l->reml;
    const bool habit = is_0(l, SM_VC_READER), own_way = is_0(l, SM_VC_READER_CASE) || !r->told[SM_VC_READER_CASE];
    if (!habit && !(is_0(l, SM_VC_READER_CASE) && r->told[SM_VC_READER]))
        return;
    sm_text *words = sm_block_words(b, SM_ITEM);
    if (habit && r->repeat_holds_reader_case)
        sm_text_addf(words,
                     "That one reader reads more than another throughout is estimated at 0 mm%s: all of the "
                     "difference is readers' own ways with single cases and repeats.",
                     set_to_0(l, SM_VC_READER));
    else if (habit && own_way)
        sm_text_addf(
            words,
            "Nothing lies between readers: two of them are estimated to differ no more than the same reader on "
            "two days (0 mm%s).",
            set_to_0(l, SM_VC_READER));
    else if (habit)
        sm_text_addf(words,
                     "Of what lies between readers, that one reads more than another throughout is estimated at 0 "
                     "mm%s: all of it is readers' own ways with single cases.",
                     set_to_0(l, SM_VC_READER));
    else
        sm_text_addf(words,
                     "Of what lies between readers, their own ways with single cases are estimated at 0 mm%s: all of "
                     "it is that one reads more than another throughout.",
                     set_to_0(l, SM_VC_READER_CASE));
    allowed(words, habit && own_way && !r->repeat_holds_reader_case ? l->between_sd
                   : habit                                          ? l->component_sd[SM_VC_READER]
                                                                    : l->component_sd[SM_VC_READER_CASE]);
}

static void components_of_0(sm_blocks *b, const sm_learned *l)
{
    if (is_0(l, SM_VC_CASE))
        sm_text_addf(sm_block_words(b, SM_ITEM), "The cases themselves are estimated not to differ (0 mm%s).",
                     set_to_0(l, SM_VC_CASE));
    between_of_0(b, l);
    if (is_0(l, SM_VC_REPEAT))
        sm_block_say(b, SM_ITEM, "Readings by the same reader agree to the last digit: their SD is 0 mm.");
}

static void what_is_missing(sm_blocks *b, const sm_learned *l)
{
    const sm_reml *r = &l->reml;
    if (!r->told[SM_VC_READER])
        sm_text_addf(sm_block_words(b, SM_ITEM),
                     "%s: how readers differ cannot be told, so this quantity gives no entry for a site profile.",
                     l->readers < 2 ? "Only one reader" : "No case was read by two readers");
    if (r->repeat_holds_reader_case)
        sm_block_say(b, SM_ITEM,
                     "Nobody read a case twice: what one reader would differ from day to day cannot be told apart and "
                     "is counted as between readers, so that more readings by the same reader promise nothing.");
    else if (r->told[SM_VC_READER] && !r->told[SM_VC_READER_CASE])
        sm_block_say(b, SM_ITEM,
                     "A reader's own way with a single case cannot be told apart from the reader's general habit.");
    if (!r->told[SM_VC_CASE])
        sm_block_say(b, SM_ITEM, "Only one case: the readers are compared on it alone.");
    if (!r->converged)
        sm_block_say(b, SM_ITEM,
                     "WARNING: the fit did not settle. Do not use these numbers; they give no entry for a site "
                     "profile.");
    components_of_0(b, l);
}

/* 5. Spread */

/* Returns where the heading of a table goes. */
static sm_text *heading(sm_blocks *b)
{
    sm_block_say(b, SM_GAP, "");
    return sm_block_words(b, SM_SUBTITLE);
}

/* Rows: what it is, its number, a note. */
static void number_table(sm_blocks *b)
{
    static const sm_told_column column[] = {{.width = 36}, {.width = 22}, {.gap = 2}};
    sm_block_table(b, &(sm_told_table){.joint = "; ", .hang = 2}, column, sizeof column / sizeof *column);
}

/* Begins a row and returns where its number goes. */
static sm_text *number_row(sm_blocks *b, const char *label)
{
    sm_text_addf(sm_block_words(b, SM_ROW), "  %s", label);
    return sm_block_words(b, SM_CELL);
}

static void interval_row(sm_blocks *b, const char *label, sm_ci95 c)
{
    interval_words(number_row(b, label), c);
    sm_block_say(b, SM_CELL, "");
}

static void component_row(sm_blocks *b, const sm_learned *l, sm_vc c)
{
    static const char *const label[SM_VCS] = {"the cases themselves", "one reader against another",
                                              "a reader's own way with a case", "the same reader again"};
    const bool mixed = c == SM_VC_REPEAT && l->reml.repeat_holds_reader_case;
    const double variance = l->anova.variance[c];
    interval_words(number_row(b, mixed ? "reader's own way and repeat" : label[c]), l->component_sd[c]);
    sm_text *note = sm_block_words(b, SM_CELL);
    if (l->anova.balanced && isfinite(variance))
        sm_text_addf(note, variance < 0.0 ? "ANOVA below 0" : "ANOVA %.2f", sqrt(fmax(0.0, variance)));
}

static void spread_table(sm_blocks *b, const sm_learned *l)
{
    sm_text_puts(heading(b), "Where the spread comes from: SD in mm (95 % interval)");
    number_table(b);
    for (int c = 0; c < SM_VCS; c++)
        component_row(b, l, (sm_vc)c);
    interval_row(b, "between readers, together", l->between_sd);
    interval_row(b, "one reading by one reader", l->total_sd);
}

/* 6. Readers and pairs */

static void offsets(sm_blocks *b, const sm_reader_study *s, const sm_learned *l)
{
    if (!l->offset)
        return;
    sm_text_puts(heading(b), "Each reader, less the mean of the readers: mm (95 % interval)");
    number_table(b);
    for (size_t j = 0; j < l->readers; j++)
        interval_row(b, s->reader_name[l->reader_id[j]], l->offset[j]);
}

static void trend(sm_blocks *b, const char *what, double slope, double p)
{
    if (!(p < 0.05))
        return;
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_addf(words, "%s by %+.2f mm for each mm of size (", what, slope);
    p_words(words, p);
    sm_text_puts(words, ").");
}

/* The names stand on a line of their own. Headings stand above the first pair alone: trends come in between. */
static void pair_table(sm_blocks *b, bool headed)
{
    const sm_told_column column[] = {
        {.width = 2},
        {headed ? "mean difference" : NULL, 23, .before = "mean difference ", .after = ","},
        {headed ? "95 of 100 lie from" : NULL, 23, .gap = 2, .before = "95 of 100 lie from "},
        {headed ? "to" : NULL, .gap = 2, .before = "to "}};
    sm_block_table(b, &(sm_told_table){.joint = " ", .hang = 4}, column, sizeof column / sizeof *column);
}

static void pair_row(sm_blocks *b, const sm_reader_study *s, const sm_learned_pair *p)
{
    const sm_agreement *a = &p->agreement;
    sm_text_addf(sm_block_words(b, SM_ROW), "%s less %s, %zu cases", s->reader_name[p->first],
                 s->reader_name[p->second], a->n);
    interval_words(sm_block_words(b, SM_CELL), a->bias);
    interval_words(sm_block_words(b, SM_CELL), a->lower);
    interval_words(sm_block_words(b, SM_CELL), a->upper);
    trend(b, "The difference changes", a->bias_slope, a->bias_slope_p);
    trend(b, "The spread of the difference changes", a->spread_slope, a->spread_slope_p);
}

static void pairs(sm_blocks *b, const sm_reader_study *s, const sm_learned *l)
{
    if (l->n_pairs == 0)
        return;
    sm_text_puts(heading(b), "Pairs of readers, single readings: mm (95 % interval)");
    for (size_t i = 0; i < l->n_pairs; i++) {
        pair_table(b, i == 0);
        pair_row(b, s, &l->pair[i]);
    }
}

/* 7. Correlations and limits */

static void correlations(sm_blocks *b, const sm_learned *l)
{
    static const char *const label[SM_ICCS] = {"(1,1) other readers each case",
                                               "(2,1) any readers",
                                               "(3,1) these readers, less offset",
                                               "(1,k) the same, mean of all",
                                               "(2,k)",
                                               "(3,k)"};
    if (!l->has_icc) {
        sm_block_say(b, SM_ITEM, "Intraclass correlations need at least two cases that every reader read.");
        return;
    }
    sm_text_addf(heading(b), "Intraclass correlation, first readings of %zu cases by %zu readers", l->icc.cases,
                 l->icc.readers);
    number_table(b);
    for (int f = 0; f < SM_ICCS; f++) {
        sm_ci95 c = l->icc.form[f];
        c.low = fmax(c.low, 0.0);
        sm_text *number = number_row(b, label[f]);
        if (c.value >= 0.0 && c.value <= 1.0)
            interval_words(number, c);
        else
            sm_text_puts(number, "below 0: no case stands out");
        sm_block_say(b, SM_CELL, "");
    }
}

static void limit_row(sm_blocks *b, const char *label, double sd, double limit)
{
    if (!isfinite(sd))
        return;
    sm_text_addf(number_row(b, label), "SD %.2f", sd);
    sm_text_addf(sm_block_words(b, SM_CELL), "limit %.1f (2.8 SD)", limit);
}

static void iso_limits(sm_blocks *b, const sm_iso5725 *i)
{
    if (!isfinite(i->s_big_r))
        return;
    sm_text_puts(heading(b), "As in ISO 5725-2: mm");
    number_table(b);
    limit_row(b, "repeatability", i->s_r, i->r_limit);
    limit_row(b, "reproducibility", i->s_big_r, i->big_r_limit);
}

/* 8. Odd cells */

static void odd_cell(sm_text *out, const sm_reader_study *s, const sm_learned_odd *o)
{
    const bool spread = o->cell.kind == SM_ODD_SPREAD;
    sm_text_addf(out, "case %s, reader %s: %s %.2f, ", s->case_name[o->case_id], s->reader_name[o->reader_id],
                 spread ? "the repeats differ far more than others (Cochran"
                        : "the reading does not fit with the others (Grubbs",
                 o->cell.statistic);
    p_words(out, o->cell.p);
    sm_text_puts(out, ")");
}

static void odd_cells(sm_blocks *b, const sm_reader_study *s, const sm_learned *l)
{
    enum { MOST = 10 };
    if (l->n_odd == 0)
        return;
    sm_text_puts(heading(b), "Worth a second look (nothing was left out)");
    for (size_t i = 0; i < l->n_odd && i < MOST; i++)
        odd_cell(sm_block_words(b, SM_ITEM), s, &l->odd[i]);
    if (l->n_odd > MOST)
        sm_text_addf(sm_block_words(b, SM_ITEM), "and %zu more (all in --json)", l->n_odd - MOST);
}

/* 9. The whole */

static void title(sm_blocks *b, const char *quantity, const sm_learned *l)
{
    sm_text *words = sm_block_words(b, SM_TITLE);
    const size_t start = words->len;
    quantity_words(words, quantity);
    if (!words->failed)
        words->s[start] = (char)toupper((unsigned char)words->s[start]);
    sm_text_puts(words, ": ");
    count_words(words, l);
}

static void plain_words(sm_blocks *b, const sm_reader_study *s, const char *quantity, const sm_learned *l)
{
    title(b, quantity, l);
    if (!l->has_spread) {
        sm_block_say(b, SM_ITEM, nothing_learned(l));
        return;
    }
    if (l->reml.told[SM_VC_READER])
        readers(b, quantity, l);
    repeats(b, l);
    if (l->reml.told[SM_VC_READER])
        for_planning(b, l);
    sure_offsets(b, s, l);
    what_is_missing(b, l);
}

static void tables(sm_blocks *b, const sm_reader_study *s, const char *quantity, const sm_learned *l)
{
    sm_block_say(b, SM_GAP, "");
    title(b, quantity, l);
    spread_table(b, l);
    offsets(b, s, l);
    pairs(b, s, l);
    correlations(b, l);
    iso_limits(b, &l->iso);
    odd_cells(b, s, l);
}

/* Three readers are two degrees of freedom, and no method makes more of them. */
static void how_sure(sm_blocks *b)
{
    sm_block_say(b, SM_GAP, "");
    sm_block_say(
        b, SM_SAY,
        "The 95 % intervals of the SDs hold the truth about 95 times in 100, with few readers too "
        "(docs/learn.md). With two or three readers their upper ends lie far off: so few hardly tell how "
        "different readers can be, however many cases they read. More readers bring the upper ends down. ANOVA: "
        "the same SD by the classical analysis of variance, to compare with papers. Intraclass correlation: the "
        "share of the spread of readings that is the cases themselves; 1 would be readers who never differ.");
}

static void brief_tell(sm_blocks *b, const sm_reader_study *s, const sm_learned *learned)
{
    outlying(b, s, learned, true);
    for (size_t q = 0; q < s->n_quantities; q++)
        if (learned[q].has_spread && learned[q].reml.told[SM_VC_READER])
            readers(b, s->quantity[q].name, &learned[q]);
    sm_block_say(b, SM_LEAD, sm_caution_short());
}

static void whole_tell(sm_blocks *b, const sm_reader_study *s, const sm_learned *learned)
{
    outlying(b, s, learned, false);
    for (size_t q = 0; q < s->n_quantities; q++)
        plain_words(b, s, s->quantity[q].name, &learned[q]);
    for (size_t q = 0; q < s->n_quantities; q++)
        if (learned[q].has_spread)
            tables(b, s, s->quantity[q].name, &learned[q]);
    how_sure(b);
    sm_caution_tell(b);
}

void sm_learn_text_write(const sm_reader_study *study, const sm_learned *learned, const sm_style *style, bool brief,
                         sm_text *out)
{
    sm_blocks b = {0};
    (brief ? brief_tell : whole_tell)(&b, study, learned);
    sm_write_text(out, style, &b);
}

void sm_learn_source_write(const sm_learned *l, const char *study_name, sm_text *out)
{
    sm_text_addf(out, "reader study %.100s: ", study_name);
    count_words(out, l);
    if (l->reml.repeat_holds_reader_case)
        sm_text_puts(out, "; no repeats, all spread taken as between readers");
    if (l->too_small && isfinite(l->dof_found))
        sm_text_addf(out, "; too small: %.1f degrees of freedom found, 3 used", l->dof_found);
    else if (l->too_small)
        sm_text_puts(out, "; too small: degrees of freedom not told, 3 used");
    if (l->n_outlying > 0)
        sm_text_addf(out, "; %zu outlying reading%s accepted", l->n_outlying, plural(l->n_outlying));
}
