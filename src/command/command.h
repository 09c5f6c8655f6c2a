/* command.h - the commands, one line each. A new command is a line here and a file cmd_NAME.c.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_COMMAND_H
#define SM_COMMAND_COMMAND_H

#include "command/options.h"

#define SM_ANY_NUMBER  (-1) /* of words after the command, none too */
#define SM_ONE_OR_MORE (-2) /* files, up to SM_MAX_ARGUMENTS */

/* name, what stands after it, how many of that, the options that it uses, its purpose in one line */
#define SM_COMMAND_LIST(X)                                                                                             \
    X(assess, "CASE", 1,                                                                                               \
      SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_UNTIL_RESOLVED | SM_OPTION_CAP | SM_OPTION_JSON |                  \
          SM_OPTION_FIGURES | SM_OPTION_PLAIN | SM_OPTION_QUIET | SM_OPTION_WHOLE,                                     \
      "how probable it is that each limit is truly crossed")                                                           \
    X(recheck, "CASE", 1, SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET,      \
      "which measurement to check again, and what that is worth")                                                      \
    X(weigh, "CASE", 1,                                                                                                \
      SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_NO_CONTEXT | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET,   \
      "the alternatives side by side, with the harm of doing them")                                                    \
    X(report, "CASE", 1, SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_JSON | SM_OPTION_FIGURES | SM_OPTION_HTML,      \
      "all of it as one page to read, print and send: -o FILE.html")                                                   \
    X(sweep, "CASE", 1,                                                                                                \
      SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_VARY | SM_OPTION_ALL | SM_OPTION_JSON | SM_OPTION_CSV |            \
          SM_OPTION_FIGURES | SM_OPTION_HTML | SM_OPTION_PLAIN | SM_OPTION_QUIET,                                      \
      "how wrong an assumption would have to be to change the call")                                                   \
    X(compare, "OLD NEW", 2, SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET,   \
      "what moved the answer between two versions of a case")                                                          \
    X(check, "CASE", 1, SM_OPTION_NONE, "read a case and say every fault in it; compute nothing")                      \
    X(defaults, "", 0, SM_OPTION_NONE, "every built-in default with unit, grade, range and source")                    \
    X(learn, "STUDY ...", SM_ONE_OR_MORE,                                                                              \
      SM_OPTION_PROFILE | SM_OPTION_PLANE | SM_OPTION_REPLACE | SM_OPTION_ACCEPT | SM_OPTION_JSON | SM_OPTION_PLAIN |  \
          SM_OPTION_QUIET,                                                                                             \
      "learn your readers' own errors from a reader study")                                                            \
    X(selfcheck, "", 0, SM_OPTION_THREADS | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET,                        \
      "ask this program for published answers")                                                                        \
    X(new, "CASE", SM_ONE_OR_MORE,                                                                                     \
      SM_OPTION_TEMPLATE | SM_OPTION_FROM_CSV | SM_OPTION_FROM_POINTS | SM_OPTION_AXES | SM_OPTION_CIRCLE |            \
          SM_OPTION_READER | SM_OPTION_ONTO,                                                                           \
      "a case by questions, as a form, of a table or of points")                                                       \
    X(explain, "[TERM]", SM_ANY_NUMBER, SM_OPTION_NONE, "a key, a source, an option or a word of the reports")

#define SM_COMMAND_FUNCTION(name, after, n, uses, purpose)                                                             \
    sm_status sm_cmd_##name(const sm_options *o);                                                                      \
    extern const char sm_cmd_##name##_help[];
SM_COMMAND_LIST(SM_COMMAND_FUNCTION)
#undef SM_COMMAND_FUNCTION

#endif
