/* obstruction_text.c - what published series make of the trials, in plain words and with its cautions.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/obstruction_text.h"

#include <math.h>

#include "report/blocks/words.h"

const char *sm_obstruction_caution(void)
{
    return "Few and chosen patients (20 obstructed, 90 not), the rate of a whole design class: for comparison, no part "
           "of the call.";
}

/* Of 100, 1,000, ...: so many that one digit of the number stands before the point. */
static double base_of(double p)
{
    double base = 100;
    while (p * base < 0.95 && base < 1e6)
        base *= 10;
    return base;
}

static void share(sm_text *out, double p, double base)
{
    const double x = p * base;
    if (x > 0 && x < 0.095)
        sm_text_puts(out, "<0.1");
    else
        sm_text_addf(out, "%.*f", x < 0.95 ? 1 : 0, x);
}

void sm_obstruction_words(sm_text *out, const sm_obstruction *o)
{
    const double base = base_of(o->probability);
    if (!o->covered) {
        sm_text_puts(out, "not covered");
        return;
    }
    sm_text_puts(out, "about ");
    share(out, o->probability, base);
    sm_text_puts(out, " of ");
    sm_words_count(out, (int64_t)base);
    sm_text_puts(out, " (");
    share(out, o->low95, base);
    sm_text_puts(out, " to ");
    share(out, o->high95, base);
    sm_text_puts(out, ")");
}

void sm_obstruction_of_1000(sm_text *out, const sm_obstruction *o)
{
    if (!o->covered) {
        sm_text_puts(out, "not covered");
        return;
    }
    share(out, o->probability, 1000);
    sm_text_puts(out, " (");
    share(out, o->low95, 1000);
    sm_text_puts(out, " to ");
    share(out, o->high95, 1000);
    sm_text_puts(out, ")");
}

void sm_obstruction_tell(sm_blocks *b, const sm_obstruction *o)
{
    sm_text *out = sm_block_words(b, SM_LEAD);
    if (!o->covered) {
        sm_text_puts(out, "How often an artery would be obstructed: the published series do not cover a sealed sinus, "
                          "which is more than a tenth of this.");
        return;
    }
    sm_text_puts(out, "Obstructed, if published series of few, chosen patients carry over, by the drawn gap alone: ");
    sm_obstruction_words(out, o);
    sm_text_puts(out, "; no part of the call.");
    if (o->exceeds)
        sm_text_puts(out, " That is more than cross a limit: arteries were obstructed beyond the limit too.");
}
