/* cmd_explain.c - slimmargin explain TERM: what a key, a source, an option or a word of the reports means.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/shown.h"
#include "command/command.h"
#include "command/session.h"
#include "report/guide/explain.h"

#include <string.h>

const char sm_cmd_explain_help[] = "Explains one word in three sentences: a key of a case, a source or an output\n"
                                   "of a result, an option or a word of the reports. A word may have several parts:\n"
                                   "slimmargin explain crowded ostium. Without a word all of them are listed.\n"
                                   "An option is asked for without its hyphens: slimmargin explain until-resolved.\n";

/* The arguments as one word with spaces. */
static void join(const sm_options *o, sm_text *out)
{
    for (int i = 0; i < o->n_arguments; i++)
        sm_text_addf(out, "%s%s", i ? " " : "", o->argument[i]);
}

static sm_status complain(const char *word)
{
    const sm_term *near[SM_EXPLAIN_NEAR];
    const size_t n = sm_explain_near(word, near);
    sm_text text = {0};
    sm_text_shown(&text, word);
    sm_text_puts(&text, ": no such word is known");
    for (size_t i = 0; i < n; i++)
        sm_text_addf(&text, "%s%.*s", i ? ", " : "; near it: ", (int)strcspn(near[i]->names, "|"), near[i]->names);
    sm_text_puts(&text, "\nAll of them: slimmargin explain\n");
    return sm_terminal_tell(&text, SM_USAGE);
}

static void explain(const sm_term *t, sm_text *out)
{
    const sm_style style = sm_terminal_style(false);
    if (t)
        sm_explain_write(out, &style, t);
    else
        sm_explain_list(out, &style);
}

sm_status sm_cmd_explain(const sm_options *o)
{
    sm_text word = {0}, text = {0};
    sm_status s = SM_OK;
    join(o, &word);
    const sm_term *t = word.len ? sm_explain_find(word.s) : NULL;
    if (word.failed)
        s = SM_NO_MEMORY;
    else if (word.len && !t)
        s = complain(word.s);
    else {
        explain(t, &text);
        s = sm_session_send("-", &text);
    }
    sm_text_destroy(&word);
    return s;
}
