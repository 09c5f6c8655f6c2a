/* program.c - the program: which command, which options, which exit status.
 *
 * Contents: 1. the table of commands  2. help  3. finding and running a command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/program.h"

#include <string.h>

#include "base/shown.h"
#include "casefile/keys.h"
#include "report/json/result_json.h"
#include "command/command.h"
#include "command/session.h"
#include "report/blocks/cautions.h"

/* 1. The table of commands */

typedef struct {
    const char *name, *after;
    int n_after;
    unsigned uses;
    const char *purpose, *help;
    sm_status (*run)(const sm_options *o);
} command;

#define COMMAND_LINE(name, after, n, uses, purpose)                                                                    \
    {#name, after, n, uses, purpose, sm_cmd_##name##_help, sm_cmd_##name},
#define COMMAND_NAME(name, after, n, uses, purpose) #name,
static const command commands[] = {SM_COMMAND_LIST(COMMAND_LINE)};
static const char *const command_names[] = {SM_COMMAND_LIST(COMMAND_NAME)};

enum { COMMANDS = sizeof commands / sizeof *commands };

/* 2. Help */

static void program_help(sm_text *out)
{
    static const sm_style style = {.width = 80};
    sm_layout_wrap(out, &style, 0, 0,
                   "slimmargin says how probable it is that a transcatheter valve, expanded inside a failed surgical "
                   "aortic valve, truly leaves less room than the limits beside each coronary ostium and at the "
                   "sinotubular junction, when every CT measurement is taken as uncertain as it is.");
    sm_text_puts(out, "\nUsage: slimmargin COMMAND [options]\n\n");
    for (int i = 0; i < COMMANDS; i++) {
        sm_text name = {0};
        sm_text_addf(&name, "  %s %s", commands[i].name, commands[i].after);
        sm_layout_left(out, sm_text_string(&name), 20);
        sm_text_addf(out, "%s\n", commands[i].purpose);
        sm_text_done(&name, out);
    }
    sm_text_puts(out, "\nOptions of a command: slimmargin COMMAND --help\n"
                      "Exit status: 0 done, 1 usage, 2 input refused, 3 output not written,\n"
                      "  4 --until-resolved met its cap unresolved, 5 a self-check failed,\n"
                      "  70 out of memory, 130 interrupted\n\n");
    sm_layout_wrap(out, &style, 0, 0, sm_caution_short());
}

static void command_help(const command *c, sm_text *out)
{
    sm_text_addf(out, "Usage: slimmargin %s%s%s [options]\n\n%s\n", c->name, c->after[0] ? " " : "", c->after, c->help);
    sm_options_help(c->uses, out);
}

/* 3. Finding and running a command */

static sm_status complain(const char *about, sm_text *words)
{
    sm_text all = {0};
    sm_text_addf(&all, "%sTry: slimmargin %s%s--help\n", sm_text_string(words), about, about[0] ? " " : "");
    sm_text_done(words, &all);
    return sm_terminal_tell(&all, SM_USAGE);
}

static sm_status no_command(const char *name)
{
    sm_text words = {0};
    const char *near = sm_keys_nearest(name, command_names, COMMANDS);
    sm_text_shown(&words, name);
    sm_text_addf(&words, ": no command has this name%s%s%s\n", near ? "; did you mean " : "", near ? near : "",
                 near ? "?" : "");
    return complain("", &words);
}

static sm_status run_command(const command *c, int argc, char **argv)
{
    sm_options o;
    sm_text words = {0};
    sm_status s = sm_options_read(c->name, c->uses, argc, argv, 2, &o, &words);
    if (o.given & (SM_OPTION_HELP | SM_OPTION_VERSION)) {
        sm_text_destroy(&words);
        if (o.given & SM_OPTION_HELP)
            command_help(c, &words);
        else
            sm_text_addf(&words, "slimmargin %s\n", sm_result_version());
        return sm_session_send("-", &words);
    }
    if (s == SM_OK && c->n_after == SM_ONE_OR_MORE && o.n_arguments == 0) {
        sm_text_addf(&words, "%s: takes one file or more: %s, found none\n", c->name, c->after);
        s = SM_USAGE;
    } else if (s == SM_OK && c->n_after >= 0 && o.n_arguments != c->n_after) {
        sm_text_addf(&words, "%s: takes %d %s%s%s, found %d\n", c->name, c->n_after, c->n_after == 1 ? "file" : "files",
                     c->after[0] ? ": " : "", c->after, o.n_arguments);
        s = SM_USAGE;
    }
    if (s == SM_USAGE)
        return complain(c->name, &words);
    sm_text_destroy(&words);
    return s == SM_OK ? c->run(&o) : s;
}

static sm_status run_named(const char *name, int argc, char **argv)
{
    for (int i = 0; i < COMMANDS; i++)
        if (strcmp(name, commands[i].name) == 0)
            return run_command(&commands[i], argc, argv);
    return no_command(name);
}

static sm_status run_words(int argc, char **argv)
{
    sm_text text = {0};
    if (argc < 2) {
        program_help(&text);
        return sm_terminal_tell(&text, SM_USAGE);
    }
    if (strcmp(argv[1], "help") == 0 && argc > 2) /* help assess is assess --help */
        return run_named(argv[2], 3, (char *[]){argv[0], argv[2], (char[]){"--help"}, NULL});
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0) {
        program_help(&text);
        return sm_session_send("-", &text);
    }
    if (strcmp(argv[1], "--version") == 0) {
        sm_text_addf(&text, "slimmargin %s\n", sm_result_version());
        return sm_session_send("-", &text);
    }
    return run_named(argv[1], argc, argv);
}

sm_status sm_program_run(int argc, char **argv)
{
    const sm_status s = run_words(argc, argv);
    if (s == SM_NO_MEMORY || s == SM_NUMERIC) {
        sm_terminal_complain("slimmargin: ", s);
        sm_terminal_complain(sm_status_words(s), s);
        sm_terminal_complain("\n", s);
    }
    return s;
}
