/* words.h - numbers and names in plain words: natural frequencies, counts, ranges, what a quantity is called.
 *
 * Digits follow the Monte Carlo error: what the run cannot know is not printed.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_WORDS_H
#define SM_REPORT_BLOCKS_WORDS_H

#include "engine/assess.h"
#include "base/text.h"
#include "casefile/datum.h"
#include "measurement/source.h"

/* 1,000,000 */
void sm_words_count(sm_text *out, int64_t n);

/* "about 25 of 100"; below 1 % "about 4 of 1,000"; if the run cannot say so much "between 17 and 35 of 100"; 0 of n
 * "fewer than 3 of n" (the rule of three). Returns true if one root is meant: "about 1 of 100 ... crosses". */
bool sm_words_frequency(sm_text *out, const sm_probability *p);

/* The same for a table, at most 24 columns up to 1e12 trials: "25 of 100", "17 to 35 of 100", "<3 of 1,000,000". */
void sm_words_frequency_short(sm_text *out, const sm_probability *p);

/* The same with as many digits as it takes to tell p from the line, as far as the run can know them; *denominator
 * receives what it is "of" (0: none, in the rule of three), for sm_words_line. */
bool sm_words_frequency_beside(sm_text *out, const sm_probability *p, double line, double *denominator);

/* "20 of 100": a stated probability, exactly; in the given denominator or, if that does not suffice, a larger one.
 * 0: 100. */
void sm_words_line(sm_text *out, double line, double denominator);

/* As many decimals as are known of x to within a width above 0, but no more than a reader has use for: `least`, or two
 * digits of what is small. At most 7. */
int sm_words_decimals_of_use(double x, double width, int least);

/* "+-0.03": one digit that counts, and no exponent. */
void sm_words_error(sm_text *out, double error);

/* A probability as a number of 100, written with sm_words_decimals: "25.2"; and by how much of 100 the run may be off,
 * to the further end of its 95 % interval: "+-0.03". Never the interval itself: from 25.2 to 25.2 would read as sure.
 */
int sm_words_decimals(const sm_probability *p);
void sm_words_of_100(sm_text *out, const sm_probability *p);
void sm_words_own_error(sm_text *out, const sm_probability *p);

/* Two probabilities as numbers of 100: "4 to 31", "below 0.1 to 3". What lies within a twentieth of 0 or of 100 is said
 * to lie below or above it, both ends at once: never a bare 0. */
void sm_words_range(sm_text *out, double low, double high);
/* One of them: "31", "0.4", "below 0.1". */
void sm_words_of_100_plain(sm_text *out, double p);
/* A limit in mm: "4", or what is taken of one that is uncertain. */
void sm_words_limit(sm_text *out, const sm_dist *limit);

/* Millimetres, one decimal. Never "-0.0". */
void sm_words_mm(sm_text *out, double x);

/* What a reading must be at least, in mm: upward to a tenth, so that a reading of the number shown is enough. */
void sm_words_mm_at_least(sm_text *out, double x);
/* The number that it shows. */
double sm_mm_at_least(double x);
/* A stated number: 22.3, 4, 0.15; one of many digits (half a variance) to four of them. */
void sm_words_number(sm_text *out, double x);

/* What stands beside an axis: "blooming, mm per edge"; a fraction has no unit. */
void sm_words_axis(sm_text *out, const char *words, const char *unit);

/* A number of a case with its unit: "0.57 mm", "-1 edge"; a probability becomes a natural frequency. */
void sm_words_amount(sm_text *out, double x, const char *unit);
/* A value of a case in words with its unit: "0.3 to 1.5, most likely 0.8 mm"; "22.3, SD 0.3 mm"; "unknown". */
void sm_words_value(sm_text *out, const sm_datum *v, const char *unit);

/* A side's name in the text: as the case has it, '_' as a space. */
void sm_words_side(sm_text *out, const char *name);
/* A random source by its name in the result, in plain words: "left.ostium_gap" is "the left gap beside the ostium". */
void sm_words_source(sm_text *out, const char *source);
/* Other words of its line in the table, the side's name put in; its own name if they are NULL. */
void sm_words_of_source(sm_text *out, const char *source, const char *words);
/* "gap beside ostium": a quantity of a coronary, short. */
const char *sm_words_quantity(sm_quantity_id q);
/* "fluoroscopy", "echo". */
const char *sm_words_modality(sm_modality m);

/* How often a re-check would change the call: "3 of 10"; rarer of 100, and "fewer than 1 of 100". */
void sm_words_change(sm_text *out, double share);

#endif
